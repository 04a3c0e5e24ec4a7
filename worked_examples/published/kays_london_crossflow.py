"""The table of crossflow with both streams unmixed that most textbooks and charts go back to."""

from engcalc.components.exchanger import effectiveness
from worked_examples.published.comparison import Answer, Example, show

TABLE = {1.0: "0.476", 2.0: "0.614", 3.0: "0.681", 5.0: "0.751"}  # NTU: effectiveness at equal capacity rates


def compare() -> Example:
    """Capacity ratio 1."""
    return Example(
        "Crossflow, both streams unmixed, equal capacity rates",
        "Kays & London, Compact Heat Exchangers, table of effectiveness for crossflow, both unmixed (from memory)",
        tuple(
            Answer(f"effectiveness at NTU {NTU:g}", "", printed, float(effectiveness(NTU, 1.0)[0]))
            for NTU, printed in TABLE.items()
        ),
    )


if __name__ == "__main__":
    show(compare())
