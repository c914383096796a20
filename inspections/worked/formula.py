"""Formulas as text over named numbers: worked out, and written as people write them."""

import ast
import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from math import ceil, cos, exp, log, log10, sin, sqrt
from operator import add, mul, neg, pow, sub, truediv
from statistics import fmean
from typing import Any

FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "exp": exp,
    "ln": log,
    "lg": log10,
    "sin": sin,
    "cos": cos,
    "sqrt": sqrt,
    "abs": abs,
    "ceil": lambda value: float(ceil(value)),
    "max": lambda *values: max(values),
    "min": lambda *values: min(values),
    "mean": lambda *values: fmean(values),
}
_TWO: Mapping[type, Callable[[Any, Any], Any]] = {
    ast.Add: add,
    ast.Sub: sub,
    ast.Mult: mul,
    ast.Div: truediv,
    ast.Pow: pow,
}
_GREEK = {
    "alpha": "α",
    "beta": "β",
    "gamma": "γ",
    "mu": "μ",
    "phi": "φ",
    "sigma": "σ",
    "theta": "θ",
}
_SUBSCRIPTS = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_SIGNS = {"*": " · ", "/": " / ", "+": " + ", "-": " − ", "**": "^", ",": "; "}
_TOKEN = re.compile(r"[A-Za-z]\w*|\d+(?:\.\d+)?(?:e[+-]?\d+)?|\*\*|[-+*/(),]|\s+")


def evaluate(formula: str, numbers: Mapping[str, float]) -> float:
    """Return what a formula gives. Raises ValueError, KeyError, ArithmeticError."""
    return float(_value(ast.parse(formula, mode="eval").body, numbers))


def _value(node: ast.expr, numbers: Mapping[str, float]) -> float:
    if isinstance(node, ast.Constant):
        return float(node.value)  # type: ignore[arg-type]
    if isinstance(node, ast.Name):
        return numbers[node.id]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return float(neg(_value(node.operand, numbers)))
    if isinstance(node, ast.BinOp):
        both = (_value(each, numbers) for each in (node.left, node.right))
        return float(_TWO[type(node.op)](*both))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return FUNCTIONS[node.func.id](*(_value(each, numbers) for each in node.args))
    raise ValueError(f"{ast.dump(node)} is no part of a formula")


def printed(value: float, digits: int) -> str:
    """Return a number with so many significant digits, never with an exponent."""
    return format(Decimal(f"{value:.{digits}g}") + 0, "f")


def symbol(name: str) -> str:
    """Return a symbol as it is written: alpha1 is α₁."""
    letters, digits, rest = re.fullmatch(r"([A-Za-z]+)(\d*)(\w*)", name).groups()  # type: ignore[union-attr]
    written = _GREEK.get(letters, letters)
    return f"{written}{digits.translate(_SUBSCRIPTS)}{rest.replace('_', ' ')}"


def written(formula: str, names: Callable[[str], str] = symbol) -> str:
    """Return a formula as people write it, its numbers by what `names` says."""
    parts = []
    before = "("
    for token in _TOKEN.findall(formula):
        if token.isspace():
            continue
        if token == "-" and before in ("(", ",", "**"):
            parts.append("−")
        elif token in _SIGNS:
            parts.append(_SIGNS[token])
        elif token[0].isalpha() and token not in FUNCTIONS:
            parts.append(names(token))
        else:
            parts.append(_constant(token))
        before = token
    return "".join(parts)


def _constant(token: str) -> str:
    if "e" in token and token[0].isdigit():
        mantissa, _, power = token.partition("e")
        return f"{mantissa} · 10^{int(power)}"
    return token
