"""Telephone numbers as they are kept, dialled and searched for, country by country."""

from __future__ import annotations

from phonenumbers import (
    NumberParseException,
    PhoneNumber,
    PhoneNumberFormat,
    ValidationResult,
    country_code_for_region,
    format_number,
    is_possible_number_with_reason,
    parse,
)

from app.rules.people.phones import apart, digits, why_not_phone
from app.rules.people.seeking import Numbers
from app.rules.refusal import Reason, Refused

_LOCAL = "Write the area code too, such as 01632 960123."
_NO_COUNTRY = "No country has this code. Write the number as it is dialled here, or with + and it."
_WHY_NOT = {
    ValidationResult.TOO_SHORT: "This phone number is too short. Check it.",
    ValidationResult.TOO_LONG: "This phone number is too long. Check it.",
    ValidationResult.INVALID_LENGTH: "No phone number there has so many digits. Check it.",
    ValidationResult.INVALID_COUNTRY_CODE: _NO_COUNTRY,
    ValidationResult.IS_POSSIBLE_LOCAL_ONLY: _LOCAL,
}


def written(phone: str, region: str, field: str = "phone") -> str:
    """A number in its one written form: as dialled in the school's country, or with + elsewhere.

    ``region`` is where a number without a country's code is (ISO 3166-1). An extension
    is kept after an ``x``. A number is judged by its length alone, since those set aside
    for drama and those that are new are none in any list. Raises Refused for ``field``.
    """
    if sentence := why_not_phone(phone):
        raise Refused(Reason(sentence, field))
    number = _parsed(phone, region)
    if number is None:
        raise Refused(Reason(_NO_COUNTRY, field))
    sentence = _WHY_NOT.get(is_possible_number_with_reason(number), "")
    if sentence:
        raise Refused(Reason(sentence, field))
    return format_number(number, _form(number, region))


def numbers(phone: str | None, region: str) -> Numbers:
    """The digits to search in; those that stand there when it is no number."""
    if not phone:
        return Numbers()
    number, extension = _parsed(phone, region), apart(phone)[1]
    tail = f"x{extension}" if extension else ""
    if number is None:
        return Numbers(digits(phone) + tail, digits(phone) + tail)
    national = digits(format_number(number, PhoneNumberFormat.NATIONAL))
    return Numbers(national + tail, digits(format_number(number, PhoneNumberFormat.E164)) + tail)


def dialled(phone: str, region: str) -> str:
    """The address that a telephone dials: RFC 3966, the number as ITU-T E.164 writes it."""
    number, extension = _parsed(phone, region), apart(phone)[1]
    dial = format_number(number, PhoneNumberFormat.E164) if number else digits(phone)
    return f"tel:{dial};ext={extension}" if extension else f"tel:{dial}"


def _parsed(phone: str, region: str) -> PhoneNumber | None:
    number, extension = apart(phone)
    try:
        return parse(f"{number} x{extension}" if extension else number, region)
    except NumberParseException:
        return None


def _form(number: PhoneNumber, region: str) -> int:
    here = number.country_code == country_code_for_region(region)
    return PhoneNumberFormat.NATIONAL if here else PhoneNumberFormat.INTERNATIONAL
