"""The questions of `tradestudy new`, and the study that is written from the answers."""
