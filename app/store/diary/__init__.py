"""Sessions, bookings and tests."""
