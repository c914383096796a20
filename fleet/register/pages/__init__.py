"""Pages of the register: owners, buildings, people, the contractor itself."""
