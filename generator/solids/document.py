"""The product tree as a document of the CAD kernel, and that document as STEP text."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from io import BytesIO

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Gravity
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
from OCP.STEPConstruct import STEPConstruct, STEPConstruct_Styles
from OCP.StepRepr import StepRepr_HArray1OfRepresentationItem
from OCP.StepVisual import (
    StepVisual_MechanicalDesignGeometricPresentationRepresentation,
    StepVisual_PresentationStyleAssignment,
)
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape
from OCP.XCAFDoc import XCAFDoc_DocumentTool
from OCP.XSControl import XSControl_WorkSession

from generator.errors import BuildError
from generator.geometry import Frame
from generator.products.colours import COLOURS, Colour
from generator.products.product import Group, Product, Solid
from generator.solids.model import solid_of
from generator.solids.packing import packed

_STAMP = "2000-01-01T00:00:00"  # the same in every file: a date would change its bytes


class NoSolidError(BuildError):
    """Nothing of a product bounds a solid."""


def step_text(
    root: Product, *, schema: str, system: str, progress: Callable[[str], None] | None = None
) -> bytes:
    """A product as a STEP file, with all that it holds.

    `schema` by the kernel's name for it, `system` for its header.

    Raises:
        NoSolidError: no part bounds a solid.
        BuildError: the kernel refuses to write.
    """
    said = progress or (lambda _: None)
    STEPCAFControl_Controller.Init_s()  # makes the settings known
    with _quiet(), _settings(schema):
        filler = _Filler()
        if filler.add(root) is None:
            raise NoSolidError("; ".join(filler.left_out) or "the job has no parts to model")
        for words in filler.left_out:
            said(words)
        said(f"modelled {len(filler.solids)} distinct parts")
        writer = STEPCAFControl_Writer()
        writer.SetColorMode(False)  # its colours come in an order of their own, see _paint
        if not writer.Transfer(filler.finished()):
            raise BuildError("the CAD kernel could not turn the model into STEP")
        _paint(writer.ChangeWriter().WS(), filler.solids)
        _head(writer, root.name, system)
        stream = BytesIO()
        if writer.WriteStream(stream) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise BuildError("the CAD kernel could not write the STEP file")
    return _encoded(packed(stream.getvalue().decode("utf-8")))


def _encoded(text: str) -> bytes:
    """The kernel's text with its letters beyond ASCII as ISO 10303-21 writes them in strings.

    Directive X2 holds four hexadecimal digits a character, X4 eight, until X0.
    """

    def directive(found: re.Match[str]) -> str:
        letters = found[0]
        name, code = ("X2", "utf-16-be") if letters[0] <= "\uffff" else ("X4", "utf-32-be")
        return f"\\{name}\\{letters.encode(code).hex().upper()}\\X0\\"

    if text.isascii():
        return text.encode("ascii")
    return re.sub(r"[\x80-\uffff]+|[\U00010000-\U0010ffff]+", directive, text).encode("ascii")


class _Filler:
    """Puts products into an empty document, each once.

    What bounds no solid, a rail between cuts that cross, is left out: the job that asks for it has
    a finding, and its model is needed to see why.
    """

    def __init__(self) -> None:
        self.solids: list[tuple[Solid, TopoDS_Shape]] = []
        self.left_out: list[str] = []
        self._document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
        self._shapes = XCAFDoc_DocumentTool.ShapeTool_s(self._document.Main())
        self._labels: dict[int, TDF_Label | None] = {}

    def add(self, product: Product) -> TDF_Label | None:
        """The label of a product with all that it holds; none where nothing of it is a solid."""
        if id(product) not in self._labels:
            made = self._solid(product) if isinstance(product, Solid) else self._group(product)
            if made is not None:
                _name(made, product.name)
            self._labels[id(product)] = made
        return self._labels[id(product)]

    def finished(self) -> TDocStd_Document:
        """The document, its groups brought up to date."""
        self._shapes.UpdateAssemblies()
        return self._document

    def _solid(self, product: Solid) -> TDF_Label | None:
        try:
            shape = solid_of(product.shape)
        except ValueError as fault:
            self.left_out.append(f"left {product.name} out of the model: {fault}")
            return None
        self.solids.append((product, shape))
        return self._shapes.AddShape(shape, False)

    def _group(self, product: Group) -> TDF_Label | None:
        held = [(member, self.add(member.product)) for member in product.members]
        if all(label is None for _, label in held):
            return None
        group = self._shapes.NewShape()
        for member, label in held:
            if label is not None:
                placed = self._shapes.AddComponent(group, label, _location(member.place))
                _name(placed, member.name)
        return group


def _paint(session: XSControl_WorkSession, solids: Iterable[tuple[Solid, TopoDS_Shape]]) -> None:
    """Colours the distinct parts, in their order; the kernel's own order varies from run to run."""
    styles = STEPConstruct_Styles(session)
    finder = styles.FinderProcess()
    colours: dict[Colour, StepVisual_PresentationStyleAssignment] = {}
    for product, shape in solids:
        colour = COLOURS[product.kind]
        if colour not in colours:
            screen = Quantity_Color(*colour, Quantity_TypeOfColor.Quantity_TOC_sRGB)
            encoded = STEPConstruct_Styles.EncodeColor_s(screen)
            colours[colour] = styles.MakeColorPSA(None, encoded, encoded, encoded, 0.0)
        bodies = list(_bodies(shape))
        items = StepRepr_HArray1OfRepresentationItem(1, len(bodies))
        for k, body in enumerate(bodies, start=1):
            item = STEPConstruct.FindEntity_s(finder, body)
            items.SetValue(k, styles.AddStyle(item, colours[colour], None))
        painted = StepVisual_MechanicalDesignGeometricPresentationRepresentation()
        painted.Init(TCollection_HAsciiString(""), items, styles.FindContext(shape))
        session.Model().AddWithRefs(painted)


def _bodies(shape: TopoDS_Shape) -> Iterator[TopoDS_Shape]:
    """The solids of a shape; a part that its holes sever has several."""
    found = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    while found.More():
        yield found.Current()
        found.Next()


def _name(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _location(place: Frame) -> TopLoc_Location:
    axes = gp_Ax3(gp_Pnt(*place.origin), gp_Dir(*place.z), gp_Dir(*place.x))
    moved = gp_Trsf()
    moved.SetTransformation(axes, gp_Ax3())
    return TopLoc_Location(moved)


def _head(writer: STEPCAFControl_Writer, title: str, system: str) -> None:
    header = APIHeaderSection_MakeHeader(writer.ChangeWriter().Model())
    header.SetDescriptionValue(1, TCollection_HAsciiString("cable guard, parts placed"))
    header.SetName(TCollection_HAsciiString(title))
    header.SetTimeStamp(TCollection_HAsciiString(_STAMP))
    header.SetOriginatingSystem(TCollection_HAsciiString(system))
    header.SetAuthorValue(1, TCollection_HAsciiString(""))
    header.SetOrganizationValue(1, TCollection_HAsciiString(""))
    header.SetAuthorisation(TCollection_HAsciiString(""))


@contextmanager
def _settings(schema: str) -> Iterator[None]:
    """The writer's settings, which belong to the whole process, for as long as they are needed.

    Curves in a face's own parameters are left out: readers work them out, and the file is half
    as long.
    """
    former = {key: Interface_Static.CVal_s(key) for key in ("write.step.schema", "write.step.unit")}
    curves = Interface_Static.IVal_s("write.surfacecurve.mode")
    try:
        if not Interface_Static.SetCVal_s("write.step.schema", schema):
            raise BuildError(f"the CAD kernel writes no STEP schema {schema}")
        Interface_Static.SetCVal_s("write.step.unit", "MM")
        Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)
        yield
    finally:
        for key, value in former.items():
            Interface_Static.SetCVal_s(key, value)
        Interface_Static.SetIVal_s("write.surfacecurve.mode", curves)


@contextmanager
def _quiet() -> Iterator[None]:
    """Keeps the kernel's chatter off stdout; what fails is still said."""
    printers = list(Message.DefaultMessenger_s().Printers())
    former = [printer.GetTraceLevel() for printer in printers]
    try:
        for printer in printers:
            printer.SetTraceLevel(Message_Gravity.Message_Fail)
        yield
    finally:
        for printer, level in zip(printers, former, strict=True):
            printer.SetTraceLevel(level)
