"""One airframe for several members of a club, each with a wing, equipment and limits of their own."""
