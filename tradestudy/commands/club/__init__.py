"""Commands about a club: one span for all members, the register of their builds."""
