"""Words without meaning for the whole catalogue, and what is stored less its words."""

from dataclasses import replace
from random import Random

from inspections.models import Assessment, DueWork, Finding, Forecast, OptionSet
from inspections.reasons.catalogue import NAMES, SENTENCES

# Of rows as stored: English beside the codes, and numbers that count rows.
NOT_COMPARED = {
    Assessment: {"id"},
    Finding: {"id", "assessment_id", "criterion", "reason", "source"},
    Forecast: {"id", "run_id", "track_id", "reason", "caution"},
    DueWork: {"id", "reason", "part"},
}
# Of what is stored as JSON: English beside the codes, which are compared.
SAID = frozenset({"cautions", "measure_before", "missing", "source", "text", "words"})


def other_words(monkeypatch):
    """Put words without meaning in place of every text of the catalogue."""
    draw = Random(1)

    def word():
        return "".join(draw.choice("bdgklmnprstvz aeiou") for _ in range(12)).strip()

    for code, sentence in SENTENCES.items():
        said = " ".join([word(), *(f"{{{name}}}" for name in sentence.fields)])
        one = said if sentence.one else ""
        monkeypatch.setitem(SENTENCES, code, replace(sentence, words=said, one=one))
    for term in list(NAMES):
        monkeypatch.setitem(NAMES, term, word())


def stored():
    """Return all that stands of machines: numbers, days and codes, no words."""
    found = {
        model.__name__: sorted(map(rows_of(model), model.objects.all()), key=repr)
        for model in NOT_COMPARED
    }
    found["options"] = {
        row.machine_id: without_said(row.options) for row in OptionSet.objects.all()
    }
    return found


def rows_of(model):
    """Return a function from a row to what is compared of it, by its column."""
    names = fields(model)
    return lambda row: {name: without_said(getattr(row, name)) for name in names}


def fields(model):
    """Return the columns of a model that are compared, in order."""
    names = {field.attname for field in model._meta.concrete_fields}
    return sorted(names - NOT_COMPARED[model] - {"created_at"})


def without_said(stored):
    """Return what is stored, less what is said of it in English."""
    if isinstance(stored, dict):
        kept = {k: v for k, v in stored.items() if k not in SAID}
        return {k: without_said(v) for k, v in kept.items()}
    if isinstance(stored, list):
        return [without_said(each) for each in stored]
    return stored
