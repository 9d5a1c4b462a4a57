"""What a user can do with the register: one function, one transaction, returning what it changed."""
