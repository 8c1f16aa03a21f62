"""Words on fitted factors: one that lies outside of its usual range is named."""

from tradestudy.report.fit_tables import doubt_words


def factor(value, told=True):
    return {"words": "weight of the foam", "factor": value, "low_before": 0.88, "high_before": 1.14, "told": told}


def test_a_factor_outside_of_its_usual_range_is_hard_to_believe():
    (sentence,) = doubt_words({"factors": [factor(0.688), factor(1.1), factor(0.5, told=False)]})
    assert sentence.startswith("Hard to believe: weight of the foam is 0.69 times the model's, where 0.88 to 1.14 is ")
    assert doubt_words({"factors": [factor(0.88), factor(1.14)]}) == []
