"""An engine oil cooler: conductance from four temperatures, then the outlets from the inlets alone."""

from engcalc.components.exchanger import LMTD, exchange
from worked_examples.published.comparison import Answer, Example, show


def compare() -> Example:
    """Oil 39.8 lb/min from 190 to 158 degF (0.509 Btu/(lb R)), air 67 lb/min from 126 to 166 degF (0.241).

    The arithmetic is the same in any consistent units; the book's are kept (Btu, h, degF).
    """
    C_air, C_oil = 67.0 * 60.0 * 0.241, 39.8 * 60.0 * 0.509
    heat = C_air * (166.0 - 126.0)
    mean = LMTD(190.0 - 166.0, 158.0 - 126.0)
    UA = heat / (0.87 * mean)  # 0.87: the book's correction factor, its Figure 9.21a
    found = exchange(UA, C_oil, C_air, 190.0, 126.0)
    return Example(
        "Engine oil cooler in crossflow, both streams unmixed",
        "Janna, Engineering Heat Transfer, 3rd ed. (2009), Example 9.7",
        (
            Answer("heat taken up by the air", "Btu/h", "3.88e4", heat),
            Answer("logarithmic mean difference", "degF", "27.8", float(mean[0])),
            Answer("UA", "Btu/(h R)", "1.60e3", float(UA[0])),
            Answer("capacity ratio", "", "0.797", float(found.Cr[0])),
            Answer("NTU", "", "1.65", float(found.NTU[0])),
            Answer("effectiveness", "", "0.62", float(found.effectiveness[0])),
            Answer("air outlet", "degF", "166", float(found.T_cold_out[0])),
            Answer("oil outlet", "degF", "158", float(found.T_hot_out[0])),
        ),
    )


if __name__ == "__main__":
    show(compare())
