"""Every public function of the kernel says what it takes, in what unit, and why."""

import dataclasses
import enum
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator

import inspections.engineering
from tests.every_row import of_each

UNIT_IN_NAME = re.compile(
    r"_(mm|in|m|n|kg|mpa|rad|deg|ratio|s|m_s|m_s2|kg_per_m|mm2|hb|percent|rpm|count|"
    r"number|factor|per_m|lays|nominal)$"
)
# A dimensionless quantity whose name says that it is one.
BARE_NUMBER = re.compile(
    r"(ratio|factor|count|strands|rank|roping|margin|utilisation|coefficient|"
    r"probability|exponent|scale|breaks|number|index|equivalent|wires)"
)
ENTRY = re.compile(r"^(\w+(?:, \w+)*) : ", re.MULTILINE)


def modules() -> Iterator[object]:
    package = inspections.engineering
    for found in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        yield importlib.import_module(found.name)


def public(kind: Callable[[object], bool]) -> list[object]:
    found = [
        value
        for module in modules()
        for name, value in vars(module).items()
        if not name.startswith("_")
        and kind(inspect.unwrap(value) if callable(value) else value)
        and getattr(value, "__module__", None) == module.__name__
    ]
    return sorted(found, key=lambda value: (value.__module__, value.__qualname__))


def is_record(value: object) -> bool:
    return inspect.isclass(value) and dataclasses.is_dataclass(value)


def is_plain_class(value: object) -> bool:
    return (
        inspect.isclass(value)
        and not dataclasses.is_dataclass(value)
        and not issubclass(value, enum.Enum | BaseException)
    )


FUNCTIONS = public(inspect.isfunction)
RECORDS = public(is_record)
CLASSES = public(is_plain_class)
VALIDITY = "inspections.engineering.validity"
FORMULAS = [found for found in FUNCTIONS if found.__module__ != VALIDITY]


def identity(value: object) -> str:
    module = value.__module__.removeprefix("inspections.engineering.")
    return f"{module}.{value.__name__}"


def entries(docstring: str) -> dict[str, str]:
    """Return the text of each entry of the Parameters section by name."""
    if "Parameters\n----------\n" not in docstring:
        return {}
    section = docstring.split("Parameters\n----------\n", 1)[1]
    found = list(ENTRY.finditer(section))
    ends = [match.start() for match in found[1:]] + [len(section)]
    texts = {}
    for match, end in zip(found, ends, strict=True):
        text = section[match.end() : end]
        # An entry's further lines are indented; the first that is not ends it.
        lines = text.split("\n")
        kept = [lines[0]]
        for line in lines[1:]:
            if line and not line.startswith(" "):
                break
            kept.append(line)
        for name in match.group(1).split(", "):
            texts[name] = "\n".join(kept)
    return texts


def is_number(annotation: object) -> bool:
    text = annotation if isinstance(annotation, str) else str(annotation)
    if annotation in (int, float):
        return True
    return re.search(r"\b(float|int)\b", text) is not None


def says_unit(name: str, text: str) -> bool:
    return re.search(r"\[[^\]]+\]", text) is not None


@of_each("function", FUNCTIONS, ids=identity)
def test_public_function_takes_keywords_only(function):
    signature = inspect.signature(function)

    kinds = {parameter.kind for parameter in signature.parameters.values()}

    assert kinds <= {inspect.Parameter.KEYWORD_ONLY, inspect.Parameter.VAR_KEYWORD}


@of_each("function", FORMULAS, ids=identity)
def test_documented_parameters_are_those_of_the_signature(function):
    documented = list(entries(inspect.getdoc(function) or ""))

    assert documented == list(inspect.signature(function).parameters)


@of_each("function", FORMULAS, ids=identity)
def test_every_number_a_function_takes_has_its_unit_in_brackets(function):
    texts = entries(inspect.getdoc(function) or "")

    without = [
        name
        for name, parameter in inspect.signature(function).parameters.items()
        if is_number(parameter.annotation) and not says_unit(name, texts.get(name, ""))
    ]

    assert without == []


@of_each("function", FORMULAS, ids=identity)
def test_number_a_function_returns_has_a_unit(function):
    returned = inspect.signature(function).return_annotation
    docstring = inspect.getdoc(function) or ""

    has_unit = UNIT_IN_NAME.search(function.__name__) or "[" in docstring
    has_unit = has_unit or BARE_NUMBER.search(function.__name__)

    assert has_unit or not is_number(returned)


@of_each("function", FORMULAS, ids=identity)
def test_docstring_names_errors_source_and_an_example(function):
    docstring = inspect.getdoc(function) or ""

    missing = [
        word
        for word, pattern in {
            "errors": r"Raises",
            "source": r"Source: \S+",
            "example": r">>> ",
        }.items()
        if not re.search(pattern, docstring)
    ]

    assert missing == []


@of_each("record", RECORDS, ids=identity)
def test_record_is_frozen_slotted_and_takes_keywords_only(record):
    parameters = record.__dataclass_params__

    assert parameters.frozen
    assert hasattr(record, "__slots__")
    assert all(field.kw_only for field in dataclasses.fields(record) if field.init)


@of_each("record", RECORDS, ids=identity)
def test_record_says_what_it_is(record):
    docstring = inspect.getdoc(record) or ""

    assert not docstring.startswith(f"{record.__name__}(")
    assert docstring


@of_each("record", RECORDS, ids=identity)
def test_fields_a_record_documents_are_those_it_has(record):
    documented = list(entries(inspect.getdoc(record) or ""))
    fields = [field.name for field in dataclasses.fields(record)]

    assert documented in ([], fields)


@of_each("record", RECORDS, ids=identity)
def test_every_number_of_a_record_has_a_unit(record):
    texts = entries(inspect.getdoc(record) or "")
    fields = dataclasses.fields(record)

    # A whole number counts or names something; a row with a unit of its own
    # says it there.
    without = [
        field.name
        for field in fields
        if re.search(r"\bfloat\b", str(field.type))
        and "unit" not in {other.name for other in fields}
        and not says_unit(field.name, texts.get(field.name, ""))
        and not UNIT_IN_NAME.search(field.name)
        and not BARE_NUMBER.search(field.name)
    ]

    assert without == []


@of_each("plain_class", CLASSES, ids=identity)
def test_methods_of_a_class_say_what_they_return(plain_class):
    silent = [
        name
        for name, method in vars(plain_class).items()
        if inspect.isfunction(method)
        and not name.startswith("_")
        and not inspect.getdoc(method)
    ]

    assert inspect.getdoc(plain_class)
    assert silent == []


def test_the_kernel_was_walked():
    assert len(FUNCTIONS) > 60
    assert len(RECORDS) > 25
