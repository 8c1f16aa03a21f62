"""Table rows and sentences on the span that serves all members of a club. ``found`` is the document of the command."""

from __future__ import annotations

from typing import Any

MEMBER_HEADS = ["member", "alone, at medians", "span mm", "on this wing, at medians", "keeps", "weight g", "built with"]
_AT_MEDIANS = (
    "Both distances are at the medians of all inputs, so they differ from those of assess and run, which tell what to "
    "expect. The shares are the same."
)
_ANOTHER_WING = (
    "This wing is another one than tradestudy run recommends: that is for one member's equipment alone, and keeps "
    "today's panels where new ones gain little."
)


def member_rows(found: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return one row for each member, with the columns of MEMBER_HEADS."""
    return [
        (
            f"{row['name']} \N{MULTIPLICATION SIGN} {row['members']}" if row["members"] > 1 else row["name"],
            f"{row['own_gain']:.1f} {found['unit']}",
            f"{row['own_span_mm']:.0f}",
            f"{row['gain']:.1f} {found['unit']}",
            f"{row['share_pct']:.1f} %",
            f"{row['auw_g']:.0f}",
            row["parts"],
        )
        for row in found["members"]
    ]


def span_lines(found: dict[str, Any]) -> list[str]:
    """Return sentences on the common span, who gives most for it, and who needs a remedy."""
    worst = next(row for row in found["members"] if row["name"] == found["worst"])
    outline = found["outline"]
    lines = [
        f"One span for all: {found['span_mm']:.0f} mm, by the {found['rule']}.",
        f"{worst['name']} gives most for it and keeps {worst['share_pct']:.1f} % of its own best {found['quantity']}.",
        f"The outline is cut once: tip chord {outline['tip_chord_mm']:.0f} mm, sweep {outline['sweep_deg']:.1f} deg, "
        f"washout {outline['washout_deg']:.1f} deg. Outlines of their own at this span would give at most "
        f"{found['bound_pct']:.1f} %.",
    ]
    lines += [f"{row['name']} can fly with {row['remedy']}." for row in found["members"] if row["remedy"]]
    if not any(row["remedy"] for row in found["members"]):
        lines.append("Nobody needs lead or a lower throttle cap: balance, pack and movable equipment suffice.")
    return [*lines, _ANOTHER_WING, _AT_MEDIANS]
