"""What the ends of a band mean: nine draws of ten lie between."""

from scipy.stats import norm

AT_THE_ENDS = float(norm.ppf(0.95))  # standard deviations to a band's end
