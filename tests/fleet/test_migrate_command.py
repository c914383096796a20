"""Migrations run as the owner, or not at all."""

import pytest
from django.core.management import CommandError, call_command


def test_migrate_without_the_owner_is_refused():
    with pytest.raises(CommandError, match="--database owner"):
        call_command("migrate")
