"""What is drawn among the words of a paper: wheels by the one description of them, and boxes for a pencil."""

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from jobs.papers import look
from jobs.patterns.drawing import Drawing, Text, fitted, laid_out
from jobs.patterns.ink import draw_shape

LETTERS = look.SMALL


class Drawn(Flowable):
    """A drawing as large as its room lets it be, at the room's left and foot, with measures that can be read."""

    def __init__(self, drawing: Drawing, width: float, height: float) -> None:
        super().__init__()
        self.drawing, self.width, self.height = drawing, width, height

    def draw(self) -> None:
        letters, box = fitted(self.drawing, width=self.width / LETTERS, height=self.height / LETTERS)
        scale = LETTERS / letters
        canvas = self.canv
        canvas.saveState()
        canvas.scale(scale, scale)
        canvas.translate(-box.left, -box.bottom)
        # Words last, so that they stand over the lines that cross them.
        for shape in sorted(laid_out(self.drawing, letters=letters), key=lambda shape: isinstance(shape, Text)):
            draw_shape(canvas, shape, letters=letters, lines=mm / scale)
        canvas.restoreState()


class PencilBox(Flowable):
    """An empty box as wide as its cell."""

    def wrap(self, room: float, _: float) -> tuple[float, float]:
        self.width, self.height = room, look.BOX_HIGH
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setLineWidth(look.RULE)
        self.canv.rect(0, 0, self.width, self.height)
