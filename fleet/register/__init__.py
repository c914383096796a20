"""What stands where, and who looks after it."""
