"""Sessions and bookings."""
