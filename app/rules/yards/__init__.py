"""The yard itself: speeds and their words, room for riders, which way a thing can be ridden."""
