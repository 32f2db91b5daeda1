"""Independent readers and writers for papers.spec.mjs; says what it found as JSON.

  schema FILE        checks a file against docs/journal.schema.json (jsonschema)
  csv FILE           the rows of a table, by Python's own csv reader
  code OUT SEED      draws the text on standard input as a code (segno), as a hand
                     would photograph it, and says whether zxing-cpp reads it
  print FILE OUT     the first page of a print as a scanner at 300 dpi sees it, and what
                     zxing-cpp reads on it
  pdf FILE           pages, their size in points, and the text (pypdf)
"""

import csv
import io
import json
import pathlib
import random
import sys

PROJECT = pathlib.Path(__file__).resolve().parents[2]


def schema(path):
    import jsonschema

    form = json.loads((PROJECT / "docs/journal.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(form)
    validator = jsonschema.Draft202012Validator(form)
    file = json.loads(pathlib.Path(path).read_text("utf-8"))
    errors = [f"{error.json_path}: {error.message}" for error in validator.iter_errors(file)]
    return {"errors": errors[:5], "events": len(file["events"])}


def table(path):
    # Strict: a quote that does not belong is an error. RFC 4180 ends lines with CRLF.
    text = pathlib.Path(path).read_bytes().decode("utf-8", "strict")
    assert text.endswith("\r\n"), "the last line has its end"
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def code(out, seed):
    import segno
    import zxingcpp
    from PIL import Image, ImageChops, ImageFilter

    text = sys.stdin.buffer.read().decode("utf-8")
    dice = random.Random(int(seed))
    plain = io.BytesIO()
    segno.make(text, error="m", micro=False, encoding="utf-8").save(plain, kind="png", scale=12)
    square = Image.open(plain).convert("L")
    page = Image.new("L", (1600, 1200), 225)
    side = dice.randint(620, 820)
    square = square.resize((side, side), Image.Resampling.LANCZOS)
    page.paste(square, ((1600 - side) // 2, (1200 - side) // 2))
    page = page.rotate(dice.uniform(0, 360), Image.Resampling.BICUBIC, fillcolor=225)
    lean = [dice.uniform(-0.00022, 0.00022) for _ in range(2)]
    page = page.transform(
        page.size,
        Image.Transform.PERSPECTIVE,
        (1, 0, 0, 0, 1, 0, *lean),
        Image.Resampling.BICUBIC,
        fillcolor=225,
    )
    page = page.filter(ImageFilter.GaussianBlur(dice.uniform(0.5, 2.5)))
    shadow = Image.linear_gradient("L").resize(page.size).point(lambda v: 255 - v // 3)
    page = ImageChops.multiply(page, shadow)
    grain = Image.effect_noise(page.size, dice.uniform(4, 20))
    page = ImageChops.add(page, grain, 1, -128)
    page.convert("RGB").save(out, quality=85)
    found = zxingcpp.read_barcodes(Image.open(out))
    return {"theirs": any(one.text == text for one in found)}


def printed(path, out):
    import pypdfium2
    import zxingcpp

    page = pypdfium2.PdfDocument(path)[0].render(scale=300 / 72).to_pil()
    page.save(out)
    return {"theirs": [one.text for one in zxingcpp.read_barcodes(page)]}


def pdf(path):
    import pypdf

    pages = pypdf.PdfReader(path).pages
    return {
        "sizes": [[round(float(side)) for side in page.mediabox[2:]] for page in pages],
        "text": "\n".join(page.extract_text() for page in pages),
    }


WAYS = {"schema": schema, "csv": table, "code": code, "print": printed, "pdf": pdf}
print(json.dumps(WAYS[sys.argv[1]](*sys.argv[2:])))
