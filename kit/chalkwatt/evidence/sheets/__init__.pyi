from .facts import ORIGINS as ORIGINS
from .facts import SHAPES as SHAPES
from .facts import Fact as Fact
from .sheet import Sheet as Sheet
