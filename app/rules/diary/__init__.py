"""Sessions and bookings: what fits, and why not."""
