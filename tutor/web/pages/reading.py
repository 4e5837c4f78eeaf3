"""What an answer is read as, while it is typed: a small address for `static/js/reading.js`.

Open to everybody, since the sample page uses it; it knows no question, no member and no record.
"""

from __future__ import annotations

from flask import Blueprint, Response, jsonify, request

from tutor.quantities import UnitError, read_unit
from tutor.questions.marking import LONGEST
from tutor.questions.read_back import read_back

pages = Blueprint("reading", __name__)

LONGEST_UNIT = 40  # characters


@pages.get("/read")
def read() -> Response | tuple[Response, int]:
    """Return `{"read": "3.3 kΩ"}`, or `{"read": null}` for what cannot be read; 400 for a unit that is none."""
    unit = request.args.get("unit", "")
    try:
        printed = read_unit(unit[:LONGEST_UNIT])
    except UnitError as error:
        return jsonify(error=str(error)), 400
    return jsonify(read=read_back(request.args.get("text", "")[:LONGEST], printed))
