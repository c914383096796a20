"""The API as its committed description has it, asked by programs made from that."""
