"""One wing on one day: in today's air and wind, with today's pack, and the numbers that its pilot needs."""
