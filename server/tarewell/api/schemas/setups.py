"""What an import of a set-up changes."""

from typing import Self

from pydantic import ConfigDict, Field

from tarewell.setup_file.exchange import ImportPlan, PartChange

from . import View


class PartChangeView(View):
    """One part of the set-up that the file adds or changes; `fields` are those that differ."""

    what: str = Field(description="liquid, glass, recipe, channel or bottle")
    id: str
    change: str = Field(description="added, changed or taken back into use")
    fields: list[str]

    @classmethod
    def of(cls, change: PartChange) -> Self:
        """From the importer's change."""
        return cls(what=change.what, id=change.key, change=change.kind, fields=list(change.fields))


class ImportView(View):
    """What an import changes, or has changed if `applied`."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "applied": False,
                    "changes": [
                        {"what": "recipe", "id": "second-bell", "change": "changed", "fields": ["steps"]},
                        {"what": "bottle", "id": "cordial-2", "change": "added", "fields": []},
                    ],
                    "unchanged": 31,
                    "notes": ["bottle cordial-1 keeps its 233.0 g; weigh it to correct that"],
                }
            ]
        }
    )

    applied: bool
    changes: list[PartChangeView]
    unchanged: int = Field(description="number of unchanged parts of the file")
    notes: list[str]

    @classmethod
    def of(cls, plan: ImportPlan, applied: bool) -> Self:
        """From the importer's plan."""
        return cls(
            applied=applied,
            changes=[PartChangeView.of(change) for change in plan.changes],
            unchanged=plan.unchanged,
            notes=list(plan.notes),
        )
