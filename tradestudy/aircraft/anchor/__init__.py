"""The model tied to the stock wing that flies: weight, balance, trim, a known flight, a tip load test."""
