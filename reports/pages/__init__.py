"""Pages over the whole house: Today, and the reports."""
