"""A length as everybody writes it. Made here and nowhere else."""

SIGN_MINUS = "−"


def m_ss(seconds: int) -> str:
    """Whole seconds, none negative, as ``4:36``, from an hour on as ``1:14:32``."""
    minutes, rest = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def m_ss_part(seconds: float, places: int) -> str:
    """The same without hours, with so many decimals, rounded: ``0:48.2``; a minus sign if below nought."""
    scale = 10**places
    whole = round(abs(seconds) * scale)
    sign = SIGN_MINUS if seconds < 0 and whole else ""
    minutes, rest = divmod(whole, 60 * scale)
    return f"{sign}{minutes}:{rest // scale:02}.{rest % scale:0{places}}"
