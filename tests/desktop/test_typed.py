"""What people type becomes what a document writes, in their own locale, and never by a factor of ten wrong."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QLocale

from trainapp.desktop import table_text
from trainapp.desktop.typed import amount_text, document_text, understood, unit_of
from trainapp.stages import registry
from trainapp.train.settings import read_setting
from trainapp.units import UnitError, parse

LOCALES = {
    "en_US": QLocale(QLocale.Language.English, QLocale.Country.UnitedStates),
    "de_DE": QLocale(QLocale.Language.German, QLocale.Country.Germany),
    "fr_FR": QLocale(QLocale.Language.French, QLocale.Country.France),
    "de_CH": QLocale(QLocale.Language.German, QLocale.Country.Switzerland),
    "hi_IN": QLocale(QLocale.Language.Hindi, QLocale.Country.India),
}


@pytest.mark.parametrize("name", LOCALES)
@pytest.mark.parametrize(("text", "value"), [("1.5 gal", 1.5), ("1e3 gal", 1e3), ("2 gal", 2.0), ("3/4 gal", 0.75), ("1250 gal", 1250.0)])
def test_a_point_is_a_point_everywhere(name: str, text: str, value: float) -> None:
    written = document_text(text, "volume", locale=LOCALES[name])
    assert parse(written, "volume") == pytest.approx(value * parse("1 gal", "volume"))


@pytest.mark.parametrize("name", ["de_DE", "fr_FR"])
@pytest.mark.parametrize(("text", "value"), [("1,5 gal", 1.5), ("1 234,5 gal", 1234.5), ("0,25 gal", 0.25)])
def test_a_comma_is_a_point_where_it_is_one(name: str, text: str, value: float) -> None:
    written = document_text(text, "volume", locale=LOCALES[name])
    assert parse(written, "volume") == pytest.approx(value * parse("1 gal", "volume"))


@pytest.mark.parametrize("name", ["en_US", "hi_IN"])
def test_a_comma_elsewhere_parts_thousands_or_is_refused(name: str) -> None:
    assert parse(document_text("1,250 gal", "volume", locale=LOCALES[name]), "volume") == pytest.approx(1250 * parse("1 gal", "volume"))
    for typed, ways in (("1,5 gal", "write 15 or 1.5"), ("2,4 mg", "write 24 or 2.4"), ("1,2,3 gal", "write the number without it")):
        with pytest.raises(UnitError, match=ways):
            document_text(typed, "volume", locale=LOCALES[name])


@pytest.mark.parametrize(
    ("text", "dimension", "written"),
    [
        ("18 gpg", "hardness", "18 gpg"),
        ("308 mg/l", "hardness", "308 mg/l"),
        ("3*1.2 in", "length", "3.6 in"),
        ("2 × (4 + 1) in", "length", "10 in"),
        ("10 ÷ 4 in", "length", "2.5 in"),
        ("1-1/4 in", "length", "1-1/4 in"),
        ("3/4 in", "length", "3/4 in"),
        ("7", "flow", "7 gpm"),
        ("7.2", "ph", "7.2"),
        ("54 °F", "temperature", "54 °F"),
        ("75 %/cm", "uvt", "75 %/cm"),
    ],
)
def test_what_a_document_gets(text: str, dimension: str, written: str) -> None:
    assert document_text(text, dimension, locale=LOCALES["en_US"]) == written


def test_a_number_alone_takes_the_unit_that_stood_there() -> None:
    assert document_text("12", "length", "cm") == "12 cm"
    assert document_text("3*1.2", "length", "cm") == "3.6 cm"
    assert unit_of("12 cm") == "cm" and unit_of("7.3") == "" and unit_of("8 lb/ft3") == "lb/ft3"


@pytest.mark.parametrize("text", ["3 furlongs per week", "in", "", "5 psi", "1//2 in", "=2+2 in", "(1 in", "1/0*2 in", "9" * 60])
def test_what_is_no_length_is_refused_in_words(text: str) -> None:
    with pytest.raises(UnitError, match="is not a length"):
        document_text(text, "length", locale=LOCALES["en_US"])


def test_it_says_what_it_understood() -> None:
    assert understood("18 gpg", "hardness", "us") == "18\u202fgpg = 308\u202fmg/L"
    assert understood("7.3", "ph", "us") == "7.3"


# Tables in one line -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("head_loss", [["5 gpm", "2 psi"], ["10 gpm", "8 psi"]]),
        ("inlet_limits", {"iron": {"max": "0.1 mg/L", "source": "label, page 2"}, "ph": {"min": "6.8", "max": "8.5"}}),
        ("drain", {"height": "3 ft", "length": "15 ft", "size": "1 in", "to": "dry_well"}),
    ],
)
def test_tables_are_read_as_they_are_written(key: str, value: object) -> None:
    kind = registry.kind("softener")
    assert kind is not None
    spec = kind.spec.settings[key]
    form = table_text.form_of(spec)
    assert table_text.as_value(form, table_text.as_text(form, value)) == value
    read_setting(spec, table_text.as_value(form, table_text.EXAMPLES[form]))


@pytest.mark.parametrize(
    ("form", "text"),
    [("curve", "5 gpm"), ("curve", "a b"), ("drain", "height"), ("inlet_limits", "iron 0.1"), ("inlet_limits", "iron max")],
)
def test_what_is_no_table_is_refused_in_words(form: str, text: str) -> None:
    with pytest.raises(ValueError, match="is not|without"):
        table_text.as_value(form, text)


def test_an_exponent_is_part_of_the_number() -> None:
    assert unit_of("1e1 gpm") == "gpm" and unit_of("2E-3 mg/L") == "mg/L"
    assert document_text("7", "flow", unit_of("1e1 gpm")) == "7 gpm"


def test_a_point_before_three_digits_is_asked_about_where_it_groups() -> None:
    """1.250 is a thousand and more to some readers and little more than one to others: the program does not guess."""
    with pytest.raises(UnitError, match='"1.250 gal" is not a volume: a point can mean two things, write 1250 or 1,250'):
        document_text("1.250 gal", "volume", locale=LOCALES["de_DE"])
    for text, value in (("1,250 gal", 1.25), ("1250 gal", 1250.0), ("0.125 gal", 0.125), ("1.25 gal", 1.25), ("1.234,5 gal", 1234.5)):
        assert parse(document_text(text, "volume", locale=LOCALES["de_DE"]), "volume") == pytest.approx(value * parse("1 gal", "volume"))
    for name in ("en_US", "fr_FR", "de_CH"):
        assert parse(document_text("1.250 gal", "volume", locale=LOCALES[name]), "volume") == pytest.approx(1.25 * parse("1 gal", "volume"))


def test_an_amount_without_a_unit_is_read_in_its_locale() -> None:
    german = LOCALES["de_DE"]
    assert [amount_text(text, german) for text in ("9,60", "1.234,5", "7.2", "12", "many")] == ["9.6", "1234.5", "7.2", "12", "many"]
    assert amount_text("1,250", LOCALES["en_US"]) == "1250" and amount_text("9.60", LOCALES["en_US"]) == "9.60"
    with pytest.raises(ValueError, match='"1.250" is not an amount: a point can mean two things, write 1250 or 1,250'):
        amount_text("1.250", german)
