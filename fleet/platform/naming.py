"""What people are called where others read it."""

from django.contrib.auth.models import AbstractUser
from django.db.models import CharField, F, Func, Value

# Whoever works for two contractors has two accounts; the second's name to log in has
# the contractor's code behind this mark, and would tell one office of the other.
MARK = "/"


def called(person: AbstractUser) -> str:
    """Return the name as people write it; the name to log in where there is none."""
    return person.get_full_name() or own_name(person.get_username())


def own_name(username: str) -> str:
    """Return a name to log in, less what tells that it is a second account.

    >>> own_name("ines@lifts.example/north")
    'ines@lifts.example'
    """
    return username.partition(MARK)[0]


def own_name_of(path: str) -> Func:
    """Return the same of a column of the database."""
    column = F(path)
    return Func(
        column, Value(MARK), Value(1), function="split_part", output_field=CharField()
    )
