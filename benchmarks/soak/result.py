"""What a long run found."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(slots=True)
class Result:
    """``figures``: what was done and measured; ``faults``: each thing that was lost, crashed or too much."""

    name: str
    figures: dict[str, object] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def text(self) -> str:
        told = "\n".join(f"  {name}: {value}" for name, value in self.figures.items())
        wrong = "\n".join(f"  FAULT {each}" for each in self.faults[:40])
        return f"{self.name}: {len(self.faults)} faults\n{told}" + (f"\n{wrong}" if wrong else "")
