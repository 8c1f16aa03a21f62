"""A function that types advised keys into the text of a study, as a builder would."""

import re


def with_keys(text: str, changes: dict[str, str]) -> str:
    """Return the text of a study with keys such as ``limits.climb`` or ``bay[1].length`` set to values as typed."""
    lines = text.splitlines()
    for key, value in changes.items():
        table, _, name = key.rpartition(".")
        array = re.fullmatch(r"(\w+)\[(\d+)\]", table)
        header, place = (f"[[{array[1]}]]", int(array[2]) - 1) if array else (f"[{table}]", 0)
        heads = [index for index, line in enumerate(lines) if line.split("#")[0].strip() == header]
        if not heads:
            lines += ["", header]
            heads = [len(lines) - 1]
        first = heads[place] + 1
        last = next((index for index in range(first, len(lines)) if lines[index].startswith("[")), len(lines))
        own = [index for index in range(first, last) if re.match(rf"{name}\s*=", lines[index])]
        assert len(own) <= 1
        lines[own[0] if own else first : own[0] + 1 if own else first] = [f"{name} = {value}"]
    return "\n".join(lines) + "\n"
