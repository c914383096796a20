"""One module for each family of criteria: which formula gives its value."""
