"""The exchanger of Example 11.3 at another gas flow and temperature: heat and both outlets."""

from engcalc.components.exchanger import exchange
from worked_examples.published.comparison import Answer, Example, show

CHART = 0.02  # -; how well a value is read off the book's Figure 11.14; common practice


def compare() -> Example:
    """Gas 1.5 kg/s at 250 degC (1000 J/(kg K)), water 1 kg/s at 35 degC (4197 J/(kg K)), 40 m2 at 100 W/(m2 K)."""
    found = exchange(100.0 * 40.0, 1.5 * 1000.0, 1.0 * 4197.0, 250.0, 35.0)
    most = 1500.0 * 215.0  # W
    why = "the book reads the effectiveness off a chart: 0.02"
    return Example(
        "Finned crossflow exchanger at another duty, both streams unmixed",
        "Incropera, DeWitt, Bergman & Lavine, Fundamentals of Heat and Mass Transfer, Example 11.4 (page 695)",
        (
            Answer("capacity ratio", "", "0.36", float(found.Cr[0])),
            Answer("NTU", "", "2.67", float(found.NTU[0])),
            Answer("effectiveness", "", "0.82", float(found.effectiveness[0]), CHART, why),
            Answer("heat", "W", "2.64e5", float(found.Q[0]), CHART * most, why),
            Answer("gas outlet", "degC", "73.7", float(found.T_hot_out[0]), CHART * most / 1500.0, why),
            Answer("water outlet", "degC", "98.0", float(found.T_cold_out[0]), CHART * most / 4197.0, why),
        ),
    )


if __name__ == "__main__":
    show(compare())
