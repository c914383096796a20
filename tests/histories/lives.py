"""A machine's life, step by step, and its twins, each with one thing worse or less."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from random import Random

from tests.histories import drawing, further, machines, wear, worse
from tests.histories.changes import (
    HEALED,
    LESS_READ,
    WORSE,
    Change,
)
from tests.histories.lean import ANY, Lean
from tests.histories.machines import Entry, Sort
from tests.histories.steps import Release, Review, Row, Step, Visit, Work

TWINS = 3
TECHNICIANS = 2
# A twin's own readings are numbered from here on.
OWN = 500
_WEIGHED = (("machine", "car_mass_kg"), ("machine", "balance_ratio"))


@dataclass(slots=True, kw_only=True)
class Life:
    """One machine and its twins; `entries` are what their registers hold."""

    code: str
    sort: Sort
    entries: dict[str, Entry]
    twins: dict[str, Change | None]
    truth: wear.Truth
    ill: bool = True
    lean: Lean = ANY
    # What its steps are drawn from; the estate's where it has none.
    random: Random | None = None
    # Bad readings of the machine since its parts were fitted, with their steps.
    bad: list[tuple[int, Row]] = field(default_factory=list)
    read: dict[tuple[object, ...], list[float]] = field(default_factory=dict)
    log: list[Step] = field(default_factory=list)
    # What it reads beside what all lives read; "" for nothing.
    further: str = ""

    def next(self, random: Random, years: float) -> Step:
        """Return the machine's next step; the register is read whole at first."""
        self.truth.age(years)
        number = len(self.log)
        drawn = random.random()
        if number and self.ill and drawn < 0.08:
            step: Step = self._work(random)
        elif number and self.ill and self.bad and drawn < 0.14:
            at, row = random.choice(self.bad)
            step = Review(step=at, slot=row.slot, accepted=True)
        elif number and isinstance(self.log[-1], Work) and drawn < 0.5:
            step = Release()
        else:
            step = self._visit(random, number)
        self.log.append(step)
        return step

    def assign(self, random: Random, step: Step) -> Step:
        """Give a twin that has no change yet one at this step; return the step."""
        free = [code for code, change in self.twins.items() if change is None]
        if len(self.log) <= self.lean.since or not isinstance(step, Visit):
            return step
        for code in free:
            if random.random() < self.lean.twins:
                step, change = self._change(random, step)
                self.twins[code] = change
        self.log[-1] = step
        return step

    def twin_steps(self, step: Step) -> dict[str, Sequence[Step]]:
        """Return what the machine and each twin do at the step."""
        number = len(self.log) - 1
        found: dict[str, Sequence[Step]] = {self.code: (step,)}
        for code, change in self.twins.items():
            found[code] = change.applied(number, step) if change else (step,)
        return found

    def remember(self, step: Step) -> None:
        """Keep what was read: the bad, and the numbers at each place."""
        number = len(self.log) - 1
        for row in getattr(step, "rows", ()):
            if _stays(row):
                self.bad.append((number, row))
            if row.value is not None:
                self.read.setdefault(row.at, []).append(row.value)

    def _visit(self, random: Random, number: int) -> Visit:
        rows = self.truth.rows(random, full=number % 2 == 0)
        # Who is healthy is tested at each visit: it is a slip test, and due in a year.
        if self.further and (number % 2 == 0 or not self.ill):
            rows += further.rows(self.further, rows, self.truth, random)
        rows = [row for row in rows if row.kind not in self.lean.never_read]
        kind = "ROUTINE"
        if not self.ill or random.random() < 0.4:
            kind = "SLIP_TEST"
            rows += wear.marks(self.sort, random)
        rows = [replace(row, slot=slot) for slot, row in enumerate(rows)]
        by = random.randrange(TECHNICIANS)
        visit = Visit(rows=tuple(rows), kind=kind, by=by)
        if number and self.ill and random.random() < self.lean.often:
            row = drawing.worsened(
                random,
                visit.rows,
                kinds=self._leant(visit.rows, drawing.BAD, self.lean.bad),
                lean=replace(ANY, by=self.lean.by),
            )
            visit = visit.with_row(replace(row, good=False))
        return visit

    def _work(self, random: Random) -> Work:
        kind = random.choice(("LUBRICATION", "SHORTENING", "ROPING"))
        if kind != "ROPING":
            return Work(kind=kind)
        self.truth.renew_ropes(random)
        self.bad = [(at, row) for at, row in self.bad if row.rope is None]
        self.read = {at: v for at, v in self.read.items() if at[2] is None}
        given = machines.rope_set(self.sort)
        parts = {n: given[n] for n in given if n not in ("fitted_on", "ropes_count")}
        rows = [r for r in self.truth.rows(random) if r.kind == "rope_diameter"]
        return Work(kind=kind, parts={"rope_set": parts}, rows=tuple(rows))

    def _change(self, random: Random, visit: Visit) -> tuple[Visit, Change]:
        """Return a change at this visit; the machine's own visit may get a reading."""
        number = len(self.log) - 1
        sort = random.choice(self.lean.changes or (LESS_READ,))
        if sort == WORSE:
            row = drawing.worsened(
                random,
                visit.rows,
                kinds=self._leant(visit.rows, drawing.WORSE, self.lean.worse),
                lean=self.lean,
            )
            old = next(r for r in visit.rows if r.slot == row.slot)
            said = (
                f"{row.kind} {row.where()} {drawing.value(old)} -> {drawing.value(row)}"
            )
            change = Change(
                sort=WORSE,
                said=said,
                step=number,
                row=row,
                rows=(row,),
                beds_in=self.truth.beds_in(row),
            )
            return visit, change
        healed = self._healed(random, visit, number) if sort == HEALED else None
        if healed is not None:
            return visit, healed
        return self._unread(random, visit, number)

    def _leant(
        self, rows: Sequence[Row], kinds: Mapping[str, int], towards: tuple[str, ...]
    ) -> Mapping[str, int]:
        """Return the kinds of the rows that the life leans to; all where none is."""
        if not self.further:
            kinds = {k: n for k, n in kinds.items() if k in worse.TABLE}
        leant = {k: n for k, n in kinds.items() if k in (towards or self.lean.bad)}
        if any(row.good and row.kind in leant for row in rows):
            return leant
        return kinds

    def _unread(
        self, random: Random, visit: Visit, number: int
    ) -> tuple[Visit, Change]:
        """Return the visit with a good reading, and the twin that has not got it."""
        kinds = self._leant(visit.rows, drawing.WORSE, self.lean.worse)
        row = random.choice([r for r in visit.rows if r.good and r.kind in kinds])
        rule = worse.ALL[row.kind]
        if rule.words:
            good = replace(row, word=rule.words[0])
        elif rule.sign:
            before = [*self.read.get(row.at, ()), row.value or 0.0]
            best = min(before) if rule.sign > 0 else max(before)
            good = replace(row, value=best)
        elif rule.outward or rule.otherwise:
            good = row
        else:
            good = replace(row, value=rule.good)
        said = f"{row.kind} {row.where()} {drawing.value(good)} not read"
        change = Change(
            sort=LESS_READ, said=said, step=number, row=good, gone=(good.slot,)
        )
        return visit.with_row(good), change

    def _healed(self, random: Random, visit: Visit, number: int) -> Change | None:
        """Return words that end nothing, after what was bad; None where all is good."""
        now = [(number, each) for each in visit.rows if _stays(each)]
        if not (self.bad or now):
            return None
        # A fault that is looked for is looked for at once.
        at, row = random.choice(now if now and self.lean.bad else [*self.bad, *now])
        way = random.choice(self.lean.ways)
        read = f"{row.kind} {row.where()} {drawing.value(row)}"
        more: Step
        if way == "beside" and at == number and row.kind in worse.HEALING:
            word = worse.HEALING[row.kind][-1]
            good = replace(row, slot=OWN, word=word, good=True)
            said = f"{read}, in the same visit {word}"
            return Change(sort=HEALED, said=said, step=number, row=row, rows=(good,))
        if way == "release" and at == number:
            more = Release(step=at, slot=row.slot)
            said = f"{read}, released"
        elif way == "word" and row.kind in worse.HEALING:
            word = random.choice(worse.HEALING[row.kind])
            more = Visit(rows=(replace(row, slot=OWN, word=word, good=True),), by=1)
            said = f"{read}, later {word}"
        elif way == "elsewhere" and row.kind in worse.ELSEWHERE:
            place = dict(row.place) | worse.ELSEWHERE[row.kind]
            good = self._good(row)
            good = replace(good, slot=OWN, place=tuple(sorted(place.items())))
            more = Visit(rows=(good,), by=1)
            said = f"{read}, elsewhere {drawing.value(good)}"
        elif way == "correct":
            good = replace(self._good(row), slot=OWN, corrects=(at, row.slot))
            more = Visit(rows=(good,), by=1 - self._by(at))
            said = f"{read}, corrected {drawing.value(good)}"
        elif way == "review":
            more = Review(step=at, slot=row.slot, accepted=False)
            said = f"{read}, set aside"
        else:
            more = Work(kind=random.choice(("LUBRICATION", "SHORTENING")))
            said = f"{read}, then {more.kind}"
        return Change(
            sort=HEALED,
            said=said,
            step=number,
            row=row,
            more=(more,),
            stops_only=way == "review",
        )

    def _by(self, number: int) -> int:
        return getattr(self.log[number], "by", 0)

    def _good(self, row: Row) -> Row:
        """Return a reading at a place as it is when nothing is bad."""
        rule = worse.ALL[row.kind]
        if rule.words:
            return replace(row, word=rule.words[0], good=True)
        if row.kind.startswith("breaks") or not rule.sign:
            return replace(row, value=0.0, good=True)
        before = self.read.get(row.at, [row.value or 0.0])
        best = min(before) if rule.sign > 0 else max(before)
        return replace(row, value=best, good=True)


def _stays(row: Row) -> bool:
    """Tell whether a reading is bad and no later good one makes it good."""
    return not row.good and row.kind not in worse.READ_ANEW


def begin(random: Random, code: str, *, ill: bool = True, lean: Lean = ANY) -> Life:
    """Return a life that has not begun yet; one twin's register is worse or less."""
    sort, entry = machines.draw(random, ill=ill, forms=lean.forms, sets=lean.sets)
    for part, name, value in lean.given:
        entry = machines.with_value(entry, part, name, value)
    if ill and lean.further:
        entry["name"] = further.name_of(code)
    reads = further.read_by(code, ill=ill, lean=lean)
    # What is weighed stands for what is not registered, without its disagreement.
    kept = _WEIGHED if reads == further.MASSES else ()
    entries = {code: entry | {"code": code}}
    twins: dict[str, Change | None] = {}
    for n in range(1, TWINS + 1 if ill else 1):
        name = f"{code}-{n}"
        twins[name], own = None, entry
        if n == 1:
            twins[name], own = drawing.register(random, entry, lean, kept=kept)
        entries[name] = own | {"code": name}
    truth = wear.Truth(
        sort=sort, car_kg=entry["car_mass_kg"], balance=entry["balance_ratio"]
    )
    truth.renew_ropes(random)
    truth.cut_anew(random)
    if ill:
        truth.age(random.choice((0.0, 0.0, 5.0, 15.0)))
    truth.rim_mm = (random.choice((2.2, 2.4, 2.7, 3.2)) if ill else 3.2) * (
        sort.diameter_mm
    )
    truth.runout_mm = random.choice((0.3, 0.8, 2.0, 4.0)) if ill else 0.5
    if lean.metal_over_mm is not None:
        least_mm = wear.bottom_depth_mm(sort) + machines.MINIMUM_RIM_MM
        truth.rim_mm = least_mm + lean.metal_over_mm
    if lean.runout_mm is not None:
        truth.runout_mm = lean.runout_mm
    truth.rim_marks = lean.rim_marks
    return Life(
        code=code,
        sort=sort,
        entries=entries,
        twins=twins,
        truth=truth,
        ill=ill,
        lean=lean,
        further=reads,
    )
