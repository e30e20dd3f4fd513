"""The people of the school: who they are, and what must be known of them."""
