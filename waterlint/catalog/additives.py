"""What goes into brewing water: salts, alkalis, acids and sulfites, by their trade names.

A catalogue maps names of the trade and forms on the label to compounds of chemistry; what a
gram of each gives is chemistry's (`waterlint.chemistry.salts`).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.catalog import cautions
from waterlint.catalog.acids import Density, density
from waterlint.catalog.limits import (
    ACID_HANDLING,
    GYPSUM_SOLUBILITY,
    GYPSUM_SOLUBILITY_HOT,
    LIME_SOLUBILITY,
)
from waterlint.chemistry.acids import acid
from waterlint.chemistry.formulas import molar_mass
from waterlint.chemistry.salts import salt
from waterlint.hints import Final, Literal
from waterlint.records import Record

Role = Literal["salt", "alkali", "acid", "sulfite"]
State = Literal["solid", "liquid"]

_FORMULA = "molar mass by its formula, IUPAC 2021"


class Form(Record):
    """A form in which an additive is sold.

    Attributes
    ----------
    name : str
        As recipes write it.
    salt : str or None
        Key in chemistry's `SALTS`; `None` for an acid. Strength is percent by mass of it.
    basis : str
    state : {'solid', 'liquid'}
    strength_required : bool
        Without a strength there is no dose; else 100 % is meant.
    formula : str
        Of an acid's form where it is not the acid alone.
    """

    name: str
    salt: str | None
    basis: str = _FORMULA
    state: State = "solid"
    strength_required: bool = False
    formula: str = ""


class Additive(Record):
    """Something that a recipe may add.

    Attributes
    ----------
    name : str
        As recipes write it.
    title : str
        In a sentence.
    role : {'salt', 'alkali', 'acid', 'sulfite'}
    state : {'solid', 'liquid'}
        In its usual form; a form has its own.
    forms : mapping of str to Form
    default_form : str or None
        `None` where the recipe must say which.
    basis : str
        Where the entry comes from.
    acid : str or None
        Chemistry's name of an acid.
    solubility_g_per_l, solubility_hot_g_per_l : float or None
        What cold and hot water dissolve [g/L]; `None` where it never matters in brewing.
    solubility_basis : str
    caution : str
        For an acid it holds from 30 % on; see `caution_at`.
    alkali_after_mash : bool
        An alkali that has nothing to do once the mash is over.
    like : str
        The built-in additive that a house's own is a product of; empty for built-in ones.
    default_strength, default_density : float or None
        A house product's own [% by mass], [g/mL], where the recipe states none.
    """

    name: str
    title: str
    role: Role
    state: State
    forms: Mapping[str, Form]
    default_form: str | None
    basis: str
    acid: str | None = None
    solubility_g_per_l: float | None = None
    solubility_hot_g_per_l: float | None = None
    solubility_basis: str = ""
    caution: str = ""
    alkali_after_mash: bool = False
    like: str = ""
    default_strength: float | None = None
    default_density: float | None = None

    @property
    def strength_required(self) -> bool:
        """Whether no form of it can be dosed without a strength."""
        return self.default_strength is None and all(
            form.strength_required for form in self.forms.values()
        )

    def form(self, name: str | None = None) -> Form | None:
        """The form a recipe means; `None` if it is unknown, or unstated where it must be."""
        wanted = self.default_form if name is None else name
        return None if wanted is None else self.forms.get(wanted)

    def needs_strength(self, form: str | None = None) -> bool:
        """Whether a dose of this form means nothing without a strength."""
        if self.default_strength is not None:
            return False
        found = self.form(form)
        return self.strength_required if found is None else found.strength_required

    def acid_strength(self, form: str | None, stated: float | None) -> float | None:
        """Strength of a liquid acid [%]; `None` for a powder, or where nobody states it."""
        found = self.form(form)
        if self.role != "acid" or found is None or found.state != "liquid":
            return None
        return self.default_strength if stated is None else stated

    def caution_at(self, form: str | None, stated: float | None) -> str:
        """What to mind about it, of an acid by its strength [%]; empty where there is nothing."""
        if self.role != "acid":
            return self.caution
        strength = self.acid_strength(form, stated)
        if strength is None or strength <= 0.0:
            return ""
        # The limit itself counts as strong.
        return self.caution if strength >= ACID_HANDLING.ceiling else cautions.DILUTED_ACID

    def molar_mass(self, form: str | None = None) -> float:
        """Molar mass of what the strength counts, as weighed [g/mol].

        Raises
        ------
        ValueError
            If the form is unknown, or must be stated.
        """
        found = self.form(form)
        if found is None:
            raise ValueError(f"{self.name} has no form {form!r}; known are {', '.join(self.forms)}")
        if found.salt is not None:
            return salt(found.salt).molar_mass
        assert self.acid is not None
        return molar_mass(found.formula) if found.formula else acid(self.acid).molar_mass

    def density(self, strength: float) -> Density | None:
        """Density of a liquid form of this strength [% by mass], `None` where it is not known."""
        if self.default_density is not None and strength == self.default_strength:
            return Density(self.default_density, 0.0, self.basis)
        return density(self.like or self.name, strength)


def _forms(*forms: Form) -> Mapping[str, Form]:
    return MappingProxyType({form.name: form for form in forms})


def _solution(salt: str | None) -> Form:
    return Form("solution", salt, state="liquid", strength_required=True)


_BOOKS: Final = "common practice"


def _salt(
    name: str, *forms: Form, title: str = "", stated: bool = False, role: Role = "salt"
) -> Additive:
    """A salt or sulfite; its first form is meant where none is stated."""
    return Additive(
        name,
        title or name.replace("-", " "),
        role,
        "solid",
        _forms(*forms),
        None if stated else forms[0].name,
        _BOOKS,
        caution=cautions.BY_ADDITIVE.get(name, ""),
    )


def _alkali(name: str, salt: str, solubility: float | None = None, basis: str = "") -> Additive:
    """An alkali; its one form is the pure compound."""
    return Additive(
        name,
        name.replace("-", " "),
        "alkali",
        "solid",
        _forms(Form("anhydrous", salt)),
        "anhydrous",
        _BOOKS,
        solubility_g_per_l=solubility,
        solubility_basis=basis,
        caution=cautions.BY_ADDITIVE.get(name, ""),
        alkali_after_mash=True,
    )


def _acid(name: str, acid: str, *forms: Form) -> Additive:
    """An acid, sold as a solution unless it has other forms; then the recipe says which."""
    return Additive(
        name,
        name.replace("-", " "),
        "acid",
        "solid" if forms else "liquid",
        _forms(*forms, _solution(None)),
        None if forms else "solution",
        _BOOKS,
        acid=acid,
        caution=cautions.BY_ADDITIVE[name],
    )


_GYPSUM = Additive(
    "gypsum",
    "gypsum",
    "salt",
    "solid",
    _forms(
        Form("dihydrate", "gypsum"),
        Form("hemihydrate", "calcium_sulfate_hemihydrate"),
        Form("anhydrous", "calcium_sulfate_anhydrous"),
    ),
    "dihydrate",
    _BOOKS,
    solubility_g_per_l=GYPSUM_SOLUBILITY.ceiling,
    solubility_hot_g_per_l=GYPSUM_SOLUBILITY_HOT.ceiling,
    solubility_basis=GYPSUM_SOLUBILITY.basis,
)

_ALL = (
    _GYPSUM,
    _salt(
        "calcium-chloride",
        Form("anhydrous", "calcium_chloride_anhydrous"),
        Form("monohydrate", "calcium_chloride_monohydrate"),
        Form("dihydrate", "calcium_chloride_dihydrate"),
        Form("hexahydrate", "calcium_chloride_hexahydrate"),
        _solution("calcium_chloride_anhydrous"),
        stated=True,
    ),
    _salt(
        "epsom-salt",
        Form("heptahydrate", "epsom"),
        Form("monohydrate", "magnesium_sulfate_monohydrate"),
        Form("anhydrous", "magnesium_sulfate_anhydrous"),
        title="Epsom salt",
    ),
    _salt(
        "magnesium-chloride",
        Form("hexahydrate", "magnesium_chloride_hexahydrate"),
        Form("anhydrous", "magnesium_chloride_anhydrous"),
        _solution("magnesium_chloride_anhydrous"),
    ),
    _salt("table-salt", Form("anhydrous", "sodium_chloride")),
    _salt("potassium-chloride", Form("anhydrous", "potassium_chloride")),
    _salt("sodium-sulfate", Form("anhydrous", "sodium_sulfate_anhydrous")),
    _alkali("baking-soda", "sodium_bicarbonate"),
    _alkali("potassium-bicarbonate", "potassium_bicarbonate"),
    _alkali(
        "chalk",
        "calcium_carbonate",
        0.014,
        "from memory: 14 mg/L in water without carbon dioxide",
    ),
    _alkali("pickling-lime", "calcium_hydroxide", LIME_SOLUBILITY.ceiling, LIME_SOLUBILITY.basis),
    _salt("sodium-metabisulfite", Form("anhydrous", "sodium_metabisulfite"), role="sulfite"),
    _salt("potassium-metabisulfite", Form("anhydrous", "potassium_metabisulfite"), role="sulfite"),
    _acid("lactic-acid", "lactic"),
    _acid("phosphoric-acid", "phosphoric"),
    _acid("hydrochloric-acid", "hydrochloric"),
    _acid("sulfuric-acid", "sulfuric"),
    _acid(
        "citric-acid",
        "citric",
        Form("anhydrous", None, formula="C6H8O7"),
        Form("monohydrate", None, formula="C6H8O7.H2O"),
    ),
)

ADDITIVES: Final[Mapping[str, Additive]] = MappingProxyType({each.name: each for each in _ALL})
"""Every additive of the recipe format."""
