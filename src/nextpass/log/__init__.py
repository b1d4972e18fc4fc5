"""From a file of any logger to channels with units and clocks."""

from nextpass.log.channel import Channel, Gap, Log, LogQuality, Mark

__all__ = ["Channel", "Gap", "Log", "LogQuality", "Mark"]
