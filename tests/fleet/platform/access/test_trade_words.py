"""Passwords made of words that are tried first at a service of this kind."""

import pytest
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils import translation

from fleet.platform.access.trade_words import WORDS, TradeWords


@pytest.mark.parametrize(
    "password",
    [
        *(f"{word}-{word}2026" for word in WORDS),
        "Ropeseat2026!",
        "sheave.lift.1234",
        "AUFZUG-SEIL-99",
        "liftbrakexyz12",
    ],
)
def test_words_of_the_trade_with_digits_are_no_password(password):
    with pytest.raises(ValidationError) as refused:
        validate_password(password)

    assert "trade-words" in {error.code for error in refused.value.error_list}


@pytest.mark.parametrize(
    "password",
    [
        "four plain words here",
        "a lift in the old mill by the weir",
        "sheave of wheat, blue kettle",
        "Zp4!kQ9w#t2m",
        "7391-8820-1175",
    ],
)
def test_other_passwords_are_taken_also_with_such_a_word_in_them(password):
    TradeWords().validate(password)


def test_it_is_said_in_german():
    with translation.override("de"):
        assert "Branche" in TradeWords().get_help_text()
