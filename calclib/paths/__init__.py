"""Which legitimate ways lead to an answer."""
