"""An invented payload study with every part filled in. Its numbers mean nothing."""

from tradestudy.results.payload.payload_result import PackTrade, PayloadCurve, PayloadPoint, PayloadResult


def point(mass, gain, parts="4S4P, 2 pairs of 3 mm rods", met=True, words="climb at full throttle"):
    """Return one invented wing with a payload of ``mass`` [g]."""
    return PayloadPoint(mass, 2000.0 + mass, gain, gain, 50.0 + mass / 50, 1460.0, 190.0, 128.0, met, "x", words, parts)


def invented_payload():
    """Return the whole result (results.payload.payload_result.PayloadResult)."""
    own = [point(mass, 160 - 0.05 * mass) for mass in (0.0, 80.0, 160.0, 240.0, 320.0, 410.0)]
    best = [
        point(mass, 162 - 0.04 * mass, "4S4P, 3 pairs of 4 mm rods" if mass > 300 else own[0].parts)
        for mass in (0.0, 120.0, 240.0, 360.0, 480.0, 620.0)
    ]
    curves = [
        PayloadCurve("recommended", own, 410.0, "launch speed against the stall"),
        PayloadCurve("stock", [point(0.0, 98.0), point(95.0, 92.0)], 95.0, "climb at full throttle"),
        PayloadCurve("best", best, 620.0, "flying weight"),
    ]
    trade = [
        PackTrade("4S4P", own[0]),
        PackTrade("4S3P", point(280.0, 120.0)),
        PackTrade("4S2P", point(560.0, 80.0)),
        PackTrade("4S1P", point(840.0, 30.0, met=False)),
    ]
    head = ("Godwit", "", "tradestudy payload godwit.toml", {}, "range_km", "range", "km", "at the balance mark", 5.0)
    return PayloadResult(*head, curves, trade, 2000.0, ["roll rate"])
