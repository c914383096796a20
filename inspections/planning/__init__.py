"""From an option to work: terms, choices, changes, results, and what lies ahead."""
