#!/usr/bin/env python3
"""Checks workbooks with readers that are not ours.

    check_workbooks.py FILE.xlsx ...
    check_workbooks.py --set NAME=VALUE --read 'SHEET|ROW TEXT|COLUMN HEADER' FILE.xlsx

openpyxl reads every file; it is saved again without cached values, LibreOffice
reckons it anew, and each formula's cached value must agree to 0.005. No cell may
be an error. Every chart must have a title, a name on each axis, and numbers.
Every sheet must be set up for paper: one page wide, header frozen and repeated.
With --set an input gets another value before LibreOffice reckons, and the
figure named by --read is printed.
"""
import argparse, html, os, re, subprocess, sys, tempfile, zipfile
import openpyxl
from openpyxl.utils import range_boundaries

TOLERANCE = 0.005
bad = []


def complain(*words):
    bad.append(" ".join(str(w) for w in words))


def soffice(form, folder, files, out):
    cmd = ["soffice", "-env:UserInstallation=file://" + os.path.join(folder, "profile"), "--headless", "--norestore", "--convert-to", form, "--outdir", out] + files
    subprocess.run(cmd, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=300)


def is_error(v):
    return isinstance(v, str) and (v.startswith("#") and v.rstrip("!?").isupper() or v.startswith("Err:"))


def compare(name, formulas, cached, again):
    n = 0
    for ws in formulas:
        for row in ws.iter_rows():
            for c in row:
                ours, theirs = cached[ws.title][c.coordinate].value, again[ws.title][c.coordinate].value
                if is_error(ours) or is_error(theirs):
                    complain(name, ws.title, c.coordinate, "is an error:", ours, theirs)
                if c.data_type != "f":
                    continue
                n += 1
                if isinstance(ours, (int, float)) and isinstance(theirs, (int, float)):
                    if abs(ours - theirs) > TOLERANCE:
                        complain(name, ws.title, c.coordinate, c.value, "cached", ours, "reckoned", theirs)
                elif str(ours) != str(theirs):
                    complain(name, ws.title, c.coordinate, c.value, "cached", ours, "reckoned", theirs)
    return n


def charts(name, file, cached):
    n = 0
    with zipfile.ZipFile(file) as z:
        for part in sorted(p for p in z.namelist() if re.match(r"xl/charts/chart\d+\.xml$", p)):
            n += 1
            s = z.read(part).decode()
            if len(re.findall(r"<a:t>[^<]+</a:t>", s)) != 3:
                complain(name, part, "wants a title and a name on each axis")
            numbers = 0
            for f in re.findall(r"<(?:val|yVal)><numRef><f>([^<]*)</f>", s):
                sheet, cells = html.unescape(f).replace("$", "").rsplit("!", 1)
                x1, y1, x2, y2 = range_boundaries(cells)
                for row in cached[sheet.strip("'")].iter_rows(min_row=y1, max_row=y2, min_col=x1, max_col=x2, values_only=True):
                    numbers += sum(isinstance(v, (int, float)) and v != 0 for v in row)
            if numbers == 0:
                complain(name, part, "draws nothing")
    return n


def paper(name, book):
    for ws in book:
        p = ws.sheet_properties.pageSetUpPr
        if not (p and p.fitToPage and ws.page_setup.fitToWidth == 1):
            complain(name, ws.title, "is not one page wide")
        if not ws.print_title_rows:
            complain(name, ws.title, "does not repeat its header")
        if not ws.freeze_panes:
            complain(name, ws.title, "does not freeze its header")
        if any(str(r).count(":") and ws.cell(r.min_row, r.min_col) for r in ws.merged_cells.ranges):
            complain(name, ws.title, "has merged cells")


def find(book, where):
    sheet, text, header = where.split("|")
    col = None
    for row in book[sheet].iter_rows(values_only=True):
        if header in row:
            col = row.index(header)
        elif col is not None and text in row:
            return row[col]
    sys.exit(f"no {where}")


def main():
    a = argparse.ArgumentParser()
    a.add_argument("--set", action="append", default=[])
    a.add_argument("--read")
    a.add_argument("files", nargs="+")
    o = a.parse_args()
    with tempfile.TemporaryDirectory() as tmp:
        bare, out = os.path.join(tmp, "bare"), os.path.join(tmp, "out")
        os.mkdir(bare), os.mkdir(out)
        for f in o.files:
            b = openpyxl.load_workbook(f)
            for word in o.set:
                name, value = word.split("=")
                for title, coord in b.defined_names[name].destinations:
                    b[title][coord.replace("$", "")].value = float(value)
            b.save(os.path.join(bare, os.path.basename(f)))
        soffice("xlsx", tmp, [os.path.join(bare, os.path.basename(f)) for f in o.files], out)
        for f in o.files:
            name = os.path.basename(f)
            again = openpyxl.load_workbook(os.path.join(out, name), data_only=True)
            if o.read:
                print(find(again, o.read))
                continue
            formulas, cached = openpyxl.load_workbook(f), openpyxl.load_workbook(f, data_only=True)
            n = compare(name, formulas, cached, again)
            k = charts(name, f, cached)
            paper(name, formulas)
            print(f"{name}: {len(formulas.sheetnames)} sheets, {n} formulas agree, {k} charts")
    for line in bad:
        print(line, file=sys.stderr)
    sys.exit(1 if bad else 0)


main()
