"""What blind guessing costs against fixed codes.

Bounds only, from the number of possible codes. Listening in needs no guessing, so none of
this is a statement of security, and no figure in years is given for rolling codes.
"""

from __future__ import annotations

import math

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["all_codes_s", "mean_tries", "share_two_alike", "tries_for_half"]


@cites("drawing without replacement", mark=Mark.COMPUTED)
def tries_for_half(*, codes: int, learned: int) -> int:
    """Tries after which somebody who tries each code once is in with at least one half.

    Args:
        codes: possible codes.
        learned: different codes learned, at least one.

    Raises:
        OutOfRange: no code, none learned, or more learned than there are.

    Example:
        >>> tries_for_half(codes=4096, learned=1)
        2048
    """
    require_range("codes", codes, "", low=1, because="there is at least one code")
    require_range("learned", learned, "", low=1, high=codes, because="between one and all codes")
    missed, tries = 0.0, 0
    while missed > math.log(0.5) + 1e-12:
        left = codes - tries
        if left <= learned:
            return tries + 1
        missed += math.log1p(-learned / left)
        tries += 1
    return tries


@cites("mean of the negative hypergeometric distribution", mark=Mark.COMPUTED)
def mean_tries(*, codes: int, learned: int) -> float:
    """Tries until the first that fits, on average, each code tried once in any order.

    Args:
        codes: possible codes.
        learned: different codes learned, at least one.

    Raises:
        OutOfRange: no code, none learned, or more learned than there are.

    Example:
        >>> mean_tries(codes=4096, learned=60)
        67.164
    """
    require_range("codes", codes, "", low=1, because="there is at least one code")
    require_range("learned", learned, "", low=1, high=codes, because="between one and all codes")
    return (codes + 1) / (learned + 1)


@cites("each code once", mark=Mark.COMPUTED)
def all_codes_s(*, codes: int, try_s: float) -> float:
    """Time to send every code once [s].

    Args:
        codes: possible codes.
        try_s: time for one try, repeats included [s].

    Raises:
        OutOfRange: no code or a time that is not positive.

    Example:
        >>> all_codes_s(codes=4096, try_s=0.1)
        409.6
    """
    require_range("codes", codes, "", low=1, because="there is at least one code")
    require_range("try_s", try_s, "s", low=1e-6, because="a try takes time")
    return codes * try_s


@cites("birthday problem", mark=Mark.COMPUTED)
def share_two_alike(*, codes: int, fobs: int) -> float:
    """Chance that at least two of several fobs have the same fixed code, set at random.

    Args:
        codes: possible codes.
        fobs: number of fobs.

    Raises:
        OutOfRange: no code or a negative number of fobs.

    Example:
        >>> share_two_alike(codes=4096, fobs=76)
        0.50347
    """
    require_range("codes", codes, "", low=1, because="there is at least one code")
    require_range("fobs", fobs, "", low=0, because="a number of fobs")
    if fobs > codes:
        return 1.0
    return -math.expm1(math.fsum(math.log1p(-i / codes) for i in range(fobs)))
