"""The questions of `tradestudy new` and the study that they write."""
