"""How stops end: by accepted work, by refutation, or with what was withdrawn."""
