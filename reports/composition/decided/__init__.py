"""What can be done about a machine, as documents say it: words, sums, dates."""
