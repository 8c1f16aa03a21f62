"""What a season is written down as, by hand."""

from tradestudy.commands.logbook.season import band_document
from tradestudy.uncertainty.day_band import RangeBand


def test_a_factor_is_written_to_a_thousandth():
    assert band_document(RangeBand(0.98765, 1.01239, 1.04321)) == {"low": 0.988, "middle": 1.012, "high": 1.043}
