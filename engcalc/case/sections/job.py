"""Inputs. The job: who brought what, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import DetailLevel, FileShape, Input, choice, text

NAMES = (
    "job.title",
    "job.work_order",
    "job.shop",
    "job.shop_contact",
    "job.customer",
    "job.vehicle",
    "job.registration",
    "job.vin",
    "job.odometer",
    "job.prepared_by",
    "job.credential",
    "job.date",
    "job.work_done",
    "job.notes",
)
"""Paths of what names vehicle, people and work for the paper: no check and no odds depend on them."""


@dataclass(frozen=True, eq=False)
class Job:
    """Whose vehicle it is, who looks at it and why."""

    title: Annotated[str | None, text("Title")]
    work_order: Annotated[str | None, text("Work order")]
    shop: Annotated[str | None, text("Shop")]
    shop_contact: Annotated[str | None, text("Shop contact", "Address, telephone or mail, for the report.")]
    customer: Annotated[str | None, text("Customer")]
    vehicle: Annotated[str | None, text("Vehicle", "Make, model and year as the customer would say it.")]
    registration: Annotated[str | None, text("Registration")]
    vin: Annotated[str | None, text("Vehicle identification number")]
    odometer: Annotated[str | None, text("Odometer", "With its unit, as read.")]
    complaint: Annotated[str | None, text("Complaint", "In the customer's own words.", DetailLevel.FIRST)]
    reason: Annotated[
        str | None,
        choice(
            "Why the vehicle is here",
            {
                "screening": "no complaint, a check",
                "no heat": "the heater stays cold",
                "slow warm-up": "warms up slowly",
                "hot at idle": "runs hot standing still",
                "hot at speed": "runs hot under way",
                "loss of coolant": "loses coolant",
                "sizing": "parts are to be chosen",
                "lesson": "a class or a bench rig",
            },
            help="Sets which causes are likely before any reading.",
            level=DetailLevel.FIRST,
        ),
    ]
    prepared_by: Annotated[str | None, text("Prepared by")]
    credential: Annotated[str | None, text("Credential", "Printed as stated by the signer.")]
    date: Annotated[str | None, text("Date", "Year-month-day.")]
    work_done: Annotated[str | None, text("What was done", "The repair in plain words, for the customer's page.")]
    notes: Annotated[str | None, text("Notes")]
    photos: Annotated[
        tuple[str, ...], Input("", "Photos", "text", shape=FileShape.TEXTS, help="Picture files beside the case file.")
    ]
    part_tables: Annotated[
        tuple[str, ...],
        Input(
            "",
            "Tables of parts",
            "text",
            shape=FileShape.TEXTS,
            help="CSV files of cores, fans or pumps to choose from.",
        ),
    ]
