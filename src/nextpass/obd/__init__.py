"""Ground floor: bytes of on-board diagnostics and their meaning, without input or output.

``frame`` makes messages of bus frames and back, ``service`` asks and splits replies, ``parameter`` and ``status`` say
what current data mean, ``code`` what a trouble code is, ``identity`` who the car is. Malformed bytes raise
`ValueError`; who reads a bus or a file says where they came from.
"""

from nextpass.obd import code, frame, identity, parameter, service, status
from nextpass.obd.code import TroubleCode, trouble_code, trouble_codes_in

__all__ = [
    "TroubleCode",
    "code",
    "frame",
    "identity",
    "parameter",
    "service",
    "status",
    "trouble_code",
    "trouble_codes_in",
]
