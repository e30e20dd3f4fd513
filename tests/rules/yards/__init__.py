"""The yard rules: speeds, room, sides."""
