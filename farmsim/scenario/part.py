"""The base of everything the farm has: a frozen part whose figures read themselves by their declaration."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Self

from pydantic import BaseModel, ConfigDict, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from farmsim.errors import QuantityFault
from farmsim.scenario.fields import declared


class Part(BaseModel):
    """One topic of the farm. `lifts` names keys that a file writes inside a table but the part keeps beside it."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)
    lifts: ClassVar[Mapping[str, Mapping[str, str]]] = {}

    @model_validator(mode="before")
    @classmethod
    def _lift(cls, data: Any) -> Any:  # pydantic's signature
        if not cls.lifts or not isinstance(data, Mapping):
            return data
        lifted = dict(data)
        for table, keys in cls.lifts.items():
            inner = data.get(table)
            if not isinstance(inner, Mapping):
                continue
            lifted[table] = {key: value for key, value in inner.items() if key not in keys}
            lifted.update({name: inner[key] for key, name in keys.items() if key in inner})
        return lifted

    @field_validator("*", mode="before")
    @classmethod
    def _read(cls, value: Any, info: ValidationInfo) -> Any:  # pydantic's signature
        figure = declared(cls.model_fields[str(info.field_name)])
        try:
            return figure.form.read(value, figure, bool(info.context))
        except QuantityFault as fault:
            about = {"found": fault.found, "allowed": fault.allowed, "mend": fault.mend, "at": fault.at}
            raise PydanticCustomError("fault", "{found}; {allowed}. {mend}", about) from None

    def but(self, **figures: object) -> Self:
        """The same part with some figures changed [inside units]."""
        return type(self).model_validate({**{name: getattr(self, name) for name in type(self).model_fields}, **figures})
