"""The page of symptoms in the documentation: what is felt, what decides, what can be done."""

from __future__ import annotations

from liftgeo.mechanism.remedy_goals import COMMON, GOALS
from liftgeo.quantities import DIMENSIONS
from liftgeo.studies.remedy_ways import WAYS
from liftgeo.studies.symptoms import SYMPTOMS
from liftgeo.words.names import ITEM_WORDS
from liftgeo.words.remedy_lines import goal_dimension

HEAD = f"""\
# Symptoms and remedies

`liftgeo diagnose FILE --symptom WORD` takes one of the words below, names the single measurement
that decides, and works out the remedies for *your* machine: from what it is to what can be made,
with the clearance gained and what it does to effort, slip margin and bearing load. What is said
here of causes, and how far a remedy goes, is {COMMON}; the numbers on the page are worked out.

Measure before you spend: most symptoms have two causes that ask for opposite remedies. Work safely:
`liftgeo safety`.
"""

REMEDIES = """\
## Remedies

*Free* asks hands and an evening, *cheap* parts to buy, *metal cut* a machine tool and its risks. A
remedy is not offered where it would make the clutch ride or slip, bring a stop or a new caution,
take grip that is wanted, or leave less than 0.3 mm of wear before the clutch rides.
"""

GOALS_HEAD = """\
## How far

A remedy brings a number to the value below, or as near as the limits allow; where none stands here
it goes by a share of what the machine has. Own values stand in the file, under the keys of the
numbers:

```toml
[remedies]
cable.free_play = 1.5
faces.plate_runout = "0.06 mm"
```
"""


def symptoms_page() -> str:
    """Return the page as Markdown, without the mark of a generated page."""
    symptoms = ["## Symptoms\n", "| word | felt | mostly | what decides | goes in as |"]
    symptoms.append("|---|---|---|---|---|")
    for name, each in SYMPTOMS.items():
        key = each.key.replace("bench.", "[bench] ")
        symptoms.append(f"| `{name}` | {each.felt} | {each.behind} | {each.measure} | `{key}` |")
    remedies = [
        REMEDIES,
        "| remedy | asks | what the hand does | for | mind |",
        "|---|---|---|---|---|",
    ]
    for way in WAYS:
        losses = ", ".join(ITEM_WORDS[item] for item in way.losses)
        told = ", ".join(f"`{name}`" for name in way.symptoms)
        purpose = "; ".join(filter(None, (losses, told)))
        cut = {"skim": "a thinned plate can burst", "ground": "a hardened layer is thin"}
        mind = way.care or cut.get(way.cut, "a hole weakens the arm" if way.cut else "")
        remedies.append(f"| {way.name} | {way.effort} | {way.hand} | {purpose} | {mind} |")
    goals = [GOALS_HEAD, "| number | brought to | in steps of |", "|---|---|---|"]
    for key, goal in GOALS.items():
        unit = DIMENSIONS[goal_dimension(key)].unit
        value = "a share of what it is" if goal.value is None else f"{goal.value:g} {unit}".strip()
        goals.append(f"| `{key}` | {value} | {f'{goal.step:g} {unit}'.strip()} |")
    parts = (HEAD, "\n".join(symptoms) + "\n", "\n".join(remedies) + "\n", "\n".join(goals) + "\n")
    return "\n".join(parts)
