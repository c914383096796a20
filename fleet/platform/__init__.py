"""What any service for several contractors needs, whatever it is about."""
