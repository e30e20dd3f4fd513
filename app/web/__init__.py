"""What people see: routes and forms. Nothing is decided here, and no table is touched."""
