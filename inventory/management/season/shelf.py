"""What the season's people know of their stock: which package to take next. First expired, first out."""

from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

FAR = date(2999, 12, 31)


@dataclass
class Standing:
    """One package on the shelf, in base units."""

    id: UUID
    material: str
    left: int
    expires_on: date | None
    opened: bool = False


@dataclass
class Shelf:
    """All packages, and those set apart for something."""

    packages: list[Standing] = field(default_factory=list)
    apart: set[UUID] = field(default_factory=set)

    def put(self, package: Standing) -> None:
        """A package came in."""
        self.packages.append(package)
        self.packages.sort(key=lambda each: (each.expires_on or FAR, each.id))

    def take(
        self, material: str, amount: int, day: date, *, whole: bool = False, bench: int = 0
    ) -> list[tuple[Standing, int]]:
        """From which packages to take how much; with `whole` all of it from one, as a cup needs it.

        Each bench works from a package of its own, so that two stand open at a time.
        """
        usable = [each for each in self.packages if self._fits(each, material, day)]
        if whole:
            usable = [each for each in usable if each.left >= amount]
        taken = []
        for package in usable[bench:] + usable[:bench]:
            part = min(package.left, amount)
            package.left -= part
            amount -= part
            taken.append((package, part))
            if not amount:
                return taken
        raise LookupError(f"the season runs out of {material} on {day}")

    def lose(self, package: UUID, amount: int) -> None:
        """So much less was found in a package at a count."""
        next(each for each in self.packages if each.id == package).left -= amount

    def _fits(self, package: Standing, material: str, day: date) -> bool:
        in_date = package.expires_on is None or package.expires_on >= day
        return package.material == material and package.left > 0 and in_date and package.id not in self.apart

    def left(self, material: str) -> int:
        """How much of a material there is, whatever its date."""
        return sum(package.left for package in self.packages if package.material == material)
