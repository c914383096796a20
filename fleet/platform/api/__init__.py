"""What every address of the API has in common."""
