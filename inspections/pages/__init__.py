"""Pages of machines: the portfolio, one machine, readings that wait for a word."""
