"""Keys of summary.json that changed their name: how a place ended before -> how it ends now; * is any place of a list.

Results kept from before are read all the same.
"""

RENAMED = {
    "mission/minutes": "mission/time_min",
    "mission/parts/*/minutes": "mission/parts/*/time_min",
    "outline/rods/*/0": "outline/rods/*/from_x_mm",
    "outline/rods/*/1": "outline/rods/*/from_y_mm",
    "outline/rods/*/2": "outline/rods/*/to_x_mm",
    "outline/rods/*/3": "outline/rods/*/to_y_mm",
    "spread/matters/*/0": "spread/matters/*/key",
    "spread/matters/*/1": "spread/matters/*/share",
}
