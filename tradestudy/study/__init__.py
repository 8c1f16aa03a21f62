"""Study files: TOML in, a checked frozen `Study` out.

``reader.read_study`` is the door; ``schema`` lists the tables; ``rules`` holds what must fit between
them; ``locate`` finds line numbers; ``values`` reads a single key.
"""
