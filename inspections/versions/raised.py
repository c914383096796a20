"""Why each version was raised: a line for each time, and the lines are counted.

`python -m tests.versions raise` adds a line; none is ever taken away. Lines of two
people who raised the same version at once are both kept.
"""

# fmt: off
JUDGING: tuple[str, ...] = (
    "limits and tables count by their values",
    "the kernel says why by code and values",
    "how sure a finding is has one set of words, with one for what was read second-ha",
    "traction tests by case; ranges of unknowns; offsets by the largest",
    "findings that stop service raise stops",
    "findings carry codes beside their words",
    "broken wires, diameters and condition of ropes, scatter of rim readings: worse o",
    "night and preview judge by one way",
    "undercut by the drawing, hardness spread of cuts, renewed seats",
    "what is required where no pulleys are registered",
    "a slot as wide as the rope hides no other load case",
    "what cannot heal counts by its worst credible reading, each load case stands by ",
    "ropes are judged by shape, wear, spread of breaks and unworn part",
    "what is not registered of mouth, V bottom and strands is a range; tensions to ac",
    "an open criterion with a remote chance changes no grade",
    "no chance is remote where something is not registered",
    "codes of options join the catalogue",
    "tensions, crown steps and traction tests are judged by records",
    "stops of corrected readings end once judged within",
    "corrections at once",
    "corrections at once, merged",
    "plain words of options",
    "a record of a traction test decides under a borrowed method",
    "Let a contractor and the United Kingdom shorten ages of checks",
    "rim metal, run-out, bottoms and marks by the rule of evidence; refutations",
    "rim metal, run-out, bottoms and marks by the rule of evidence; refutations",
    "kinds of reading say what rooms above ask of them",
    "what work is decided on is stored",
)
FORECASTING: tuple[str, ...] = (
    "planned on the curve that a worse last reading never moves later",
    "confirmed and deep readings stand, and no question takes the date away",
    "fewer points on the curve that dates are planned on",
    "who confirms one reading of a level confirms the level",
    "forecasts carry their reason and caution as codes",
    "forecasts' cautions are stored as codes too",
    "depths in grooves whose mouth or bottom is not registered",
    "a reading is bounded at its own marks",
    "a reading is bounded at its own marks",
)
DECIDING: tuple[str, ...] = (
    "lines of stopped machines come before all others",
    "what cannot be worked out is said by a code below",
    "work that renews seats judged by what they hold once bedded in",
    "what is missing is read off codes, item by item",
    "topics come from their closed list",
    "a stopped machine without any option has a line",
    "options carry codes",
    "tensions, crown steps and traction tests are judged by records",
    "say reached and beyond, what a grade is, who advises, and what the governor need",
    "subjects of new topics",
    "facts are read from what assessment stored",
)
REPORTING: tuple[str, ...] = (
    "the rooms of fleet moved",
    "words for a forecast whose numbers cannot be",
    "say that a check not made says nothing, and hang the car independently",
    "outlines and words of grooves from the forms' own table",
    "documents word more kinds, parts and topics",
    "reasons, criteria and reported words are told from their codes",
    "forecasts' reasons are told from their codes",
    "what is out of service stands first",
    "the groove of a V without a registered bottom is drawn as usual",
    "options are told from records that carry codes",
    "tensions, crown steps and traction tests are judged by records",
    "say reached and beyond, what a grade is, who advises, and what the governor need",
    "plain words of options",
    "who was told is not named",
    "kinds of reading say their own names and how they are taken",
    "corrected rules are told from another machine",
)
