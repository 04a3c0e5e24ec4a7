"""Steam heats oil in crossflow, the oil at half its flow: what the exchanger then passes on."""

from engcalc.components.exchanger import Arrangement, exchange
from worked_examples.published.comparison import Answer, Example, show


def compare() -> Example:
    """Steam 5.2 kg/s at 130 degC (mixed), oil 0.725 kg/s at 15 degC (unmixed), U 275 W/(m2 K), 10.82 m2."""
    found = exchange(275.0 * 10.82, 5.2 * 1860.0, 0.725 * 1900.0, 130.0, 15.0, Arrangement.COOLANT_MIXED)
    before = 5.2 * 1860.0 * 20.0  # W; with the whole oil flow the steam cools from 130 to 110 degC (example 10-7)
    return Example(
        "Off-design crossflow exchanger, one stream mixed",
        "Holman, Heat Transfer, 10th ed., Examples 10-7 and 10-9, pages 537 and 542 to 544; its digits from the "
        "documentation of the library ht, the loss in per cent from memory",
        (
            Answer("smaller capacity rate", "W/K", "1377.5", float(found.C_min[0])),
            Answer("capacity ratio", "", "0.142421", float(found.Cr[0])),
            Answer("NTU", "", "2.16007", float(found.NTU[0])),
            Answer("effectiveness", "", "0.831218", float(found.effectiveness[0])),
            Answer("heat", "W", "131675", float(found.Q[0])),
            Answer("oil outlet", "degC", "110.590", float(found.T_cold_out[0])),
            Answer("steam outlet", "degC", "116.386", float(found.T_hot_out[0])),
            Answer("loss of heat at half the oil flow", "%", "32", 100.0 * (1.0 - float(found.Q[0]) / before)),
        ),
    )


if __name__ == "__main__":
    show(compare())
