"""Help for each step of a job, in plain words: what the step is for, what to do in it, what comes of it.

Keys are those of the steps; ``START`` is the start page. Each page is a list of short parts: a heading and its text.
"""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.words.answer.results import BY_KEY
from engcalc.words.terms.glossary import RESULT_WORDS, TERMS
from engcalc.words.terms.numbers import lowered

HelpPage = tuple[tuple[str, str], ...]

START: HelpPage = (
    (
        "Begin a job",
        "Choose a complaint, a radiator to size, or a lesson. The window then shows the steps of that job along its "
        "left edge.",
    ),
    ("Go on with a job", "Recent cases are at the right. A case file can also be dragged into the window."),
    ("Look at an example", "An example opens as a new case. The example itself stays as it is."),
)
KEYS: HelpPage = (
    (
        "Keys",
        "Ctrl and a digit opens a step. F6 goes from the steps to the entries and on to the view. In the steps the "
        "arrow keys move, and the space bar opens. F1 helps with the step that is open and the view beside it. F5 works the answer out again.",
    ),
    (
        "Marks of the steps",
        "✓ done. ○ open. ▶ helps most now. ■ something to mend. Any step can be opened at any time.",
    ),
    (
        "Units",
        "Type a number with its unit, such as 195 °F or 14 psi. Without a unit the one beside the entry is taken.",
    ),
)
STEP_HELP: Mapping[str, HelpPage] = {
    "complaint": (
        (
            "What this step is for",
            "It says why the vehicle is here and which class of vehicle it is. Both decide which causes are likely "
            "before anything is read.",
        ),
        (
            "What to do",
            "Choose why the vehicle is here. Write the complaint as the customer says it: it goes on the report. "
            "Choose the vehicle class and, where it differs from the usual, the fuel.",
        ),
        (
            "What is not known",
            "Leave it empty. The program then takes what is typical of the class, and the report says so.",
        ),
    ),
    "readings": (
        (
            "What this step is for",
            "Readings turn a complaint into an answer. One coolant temperature with its time since the start is enough "
            "to begin with.",
        ),
        (
            "What to do",
            "Enter the outside temperature, the heater setting, a coolant reading and its time, and how it ran until "
            "then. Choose what was seen. More readings, a log or trouble codes go under Readings before the repair.",
        ),
        (
            "What the view shows",
            "The shaded band is where nine in ten healthy vehicles of this class would be. The marks are your "
            "readings. A log can be imported here or dropped on the window.",
        ),
        ("Not checked", "What was not looked at stays out. That is not the same as No."),
    ),
    "answer": (
        (
            "What this step is for",
            (
                "It shows what may be behind the complaint, how sure that is, and which check tells the "
                "most for its time."
            ),
        ),
        (
            "What to do",
            "Make the next check and enter its result right there. The odds follow. Do what stands under What comes "
            "first before anything else: it is a danger or a fault that was found.",
        ),
        (
            "Other views",
            "Verdict shows why, with the readings and the duties. Warm-up shows the curve against healthy vehicles.",
        ),
    ),
    "repair": (
        (
            "What this step is for",
            "It notes what was done, and works out how much to drain, what to fill in, and how to bleed.",
        ),
        (
            "What to do",
            "Write what was done in plain words: it goes on the customer's page. Enter the refill as you go. The "
            "maker's filling and bleeding procedure comes first.",
        ),
    ),
    "proof": (
        (
            "What this step is for",
            "It shows whether the repair changed what it was meant to change.",
        ),
        (
            "What to do",
            "Run the vehicle the same way again. Enter readings after the repair, or import a log. Read the coolant at "
            "two times at least, or let a log do it.",
        ),
        (
            "Where it ran hot",
            "Run it as long and as slowly as when it got hot, in air as warm, with the heater off. Read the warm engine "
            "twice, and see the fan run.",
        ),
        (
            "A danger found before",
            "What was found dangerous before the repair has to be looked at again before the vehicle counts as "
            "healthy.",
        ),
    ),
    "paper": (
        (
            "What this step is for",
            "It shows the report as it will be printed, and writes it.",
        ),
        (
            "What to do",
            "Fill in for whom it is, and the date. The pages follow as you type. Export writes the file, signed or "
            "as a draft. A signing identity is made under Report.",
        ),
    ),
    "vehicle": (
        (
            "What this step is for",
            "It says which vehicle the parts are for: its class, mass and shape, its engine, its coolant.",
        ),
        ("What is not known", "Leave it empty. The class's typical value is used instead, and the report says so."),
    ),
    "duties": (
        (
            "What this step is for",
            "A duty is what the cooling has to hold: a speed, a grade, a load, the weather. The hardest one decides.",
        ),
        (
            "What to do",
            "Add the duties, or write out those of the class and change them. Set the highest coolant temperature "
            "under Limits.",
        ),
    ),
    "parts": (
        (
            "What this step is for",
            "It holds the radiator, fan, pump, thermostat and circuit as they are, or as you mean to build them.",
        ),
        (
            "What to do",
            "Type what you know of a part, from its data sheet or with a rule. The answer follows each key.",
        ),
    ),
    "capacity": (
        (
            "What this step is for",
            "It shows for each duty whether it is held, how far it is from the limit, and what stands in the way.",
        ),
        ("What to do", "Choose a duty above the pictures. Studies shows what limits it and what a change would gain."),
    ),
    "choice": (
        (
            "What this step is for",
            "It shows what each change of parts gains, alone and together.",
        ),
        (
            "What to do",
            "Look under What limits first. Sweep and Map show how the margin moves with one or two entries. Then enter "
            "the change under Parts and see whether every duty is held.",
        ),
    ),
    "rig": (
        (
            "What this step is for",
            "It holds the exchanger of the bench, what was measured on it, and what is asked.",
        ),
        (
            "What to do",
            "For any exchanger, name both fluids and how the streams pass each other. For a radiator, enter the core's "
            "dimensions and the coolant. Add one point for each reading of the rig: both flows and four temperatures. A "
            "whole class's table is pasted under Bench. A problem wants five numbers: the other three follow.",
        ),
    ),
    "working": (
        ("What this step is for", "It shows every number with its formula, what went in, and the source."),
        (
            "How to read it",
            "Headings open and close their steps. One line is one step; each uses only what is above it.",
        ),
    ),
    "charts": (
        ("What this step is for", "It shows measured against computed, and the points on the effectiveness chart."),
        (
            "What to do",
            "Under Bench and Charts, move a slider by hand or with the arrow keys: the point moves with it, and undo takes "
            "the move back. Charts shows one duty: its place between effectiveness and NTU, the resistances, the heat, fan "
            "and pump against their ways, temperatures through the radiator, a lump that warms, and what short ways cost. "
            "Studies shows what happens when one entry changes, or two.",
        ),
    ),
    "sheets": (
        ("What this step is for", "It poses one kind of problem to a class, with numbers of their own for each name."),
        (
            "What to do",
            "Choose topic and seed, type or open the class list, and write sheets and keys. Answers that came back are "
            "marked here.",
        ),
    ),
    "detail": (
        ("What this step is for", "At the left is every entry there is. Any of the views can be opened at the right."),
        (
            "How much is shown",
            "Six entries shows the first ones only, Usual entries what is commonly known, All entries the rest.",
        ),
    ),
}

STEP_TERMS: Mapping[str, tuple[str, ...]] = {  # terms that are met in a step; what they mean stands in the glossary
    "answer": ("overcooling", "heat-limited", "marginal"),
    "proof": ("standard uncertainty", "heat-limited"),
    "paper": ("measured", "published", "typical", "assumed", "entered", "derived"),
    "vehicle": ("published", "typical", "assumed"),
    "duties": ("limiting ambient", "margin_K", "boiling_degC"),
    "parts": ("published", "ua_W_K", "effectiveness"),
    "capacity": ("undersized", "marginal", "holds", "overcooling", "margin_K", "limiting ambient", "air-to-boil"),
    "choice": ("margin_K", "ua_W_K", "ntu", "effectiveness"),
    "rig": ("ua_W_K", "ntu", "capacity_ratio", "effectiveness", "standard uncertainty"),
    "working": ("ua_W_K", "ntu", "capacity_ratio", "effectiveness"),
    "charts": ("effectiveness", "ntu", "capacity_ratio"),
    "detail": ("measured", "published", "typical", "assumed", "standard uncertainty"),
}
"""By step: words of the glossary, or keys of its results."""


def help_of(step: str) -> HelpPage:
    """The help of a step, then the terms that are met in it as the glossary has them."""
    return (*STEP_HELP[step], *(_entry(term) for term in STEP_TERMS.get(step, ())))


def _entry(term: str) -> tuple[str, str]:
    if term in TERMS:
        return f"Term: {term}", TERMS[term]
    return f"Term: {lowered(BY_KEY[term].label)}", RESULT_WORDS[term]
