"""Signing in, and who one is."""

from datetime import datetime
from typing import Literal, Self

from pydantic import ConfigDict, Field

from tarewell.api.access import Role
from tarewell.api.visitors import Visitor

from . import Body, View

RoleName = Literal["nobody", "guest", "operator"]
Ability = Literal["order", "operate"]

_MAY: dict[Role, list[Ability]] = {
    Role.NOBODY: [],
    Role.GUEST: ["order"],
    Role.OPERATOR: ["order", "operate"],
}


class SignInBody(Body):
    """The daemon's token."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"token": "the-token-of-the-interval-bar"}]})

    token: str = Field(max_length=1000, description="the setting `token`")


class SessionView(View):
    """Who the sender of the request is."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "name": "Interval Bar",
                    "role": "operator",
                    "may": ["order", "operate"],
                    "token_required": True,
                    "ends_at": "2031-03-21T19:00:00Z",
                }
            ]
        }
    )

    name: str = Field(description="the bar's name for people")
    role: RoleName
    may: list[Ability] = Field(description="`order`: menu and own orders; `operate`: everything")
    token_required: bool = Field(description="false: on this computer everybody is an operator")
    ends_at: datetime | None = Field(description="when the session ends; null: it is none, but a token")

    @classmethod
    def of(cls, visitor: Visitor, name: str, token_required: bool) -> Self:
        """The view of a visitor of the bar with this name."""
        role: dict[Role, RoleName] = {
            Role.NOBODY: "nobody",
            Role.GUEST: "guest",
            Role.OPERATOR: "operator",
        }
        return cls(
            name=name,
            role=role[visitor.role],
            may=_MAY[visitor.role],
            token_required=token_required,
            ends_at=None if visitor.session is None else visitor.session.ends_at,
        )
