"""Opens the workbook with LibreOffice, fills it in as a person would and saves it as a workbook.

Usage: with_libreoffice.py COUNTS.xlsx FILLED.xlsx   (with a Python that has `uno`)
"""

import os
import subprocess
import sys
import time

import uno
from com.sun.star.beans import PropertyValue

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from counts import count, note  # noqa: E402

workbook, filled = map(os.path.abspath, sys.argv[1:])
pipe = f"halfgreen{os.getpid()}"
office = subprocess.Popen(
    ["soffice", "--headless", "--norestore", "--nologo", f"-env:UserInstallation=file://{os.environ['HOME']}/office",
     f"--accept=pipe,name={pipe};urp;"],
    stdout=subprocess.DEVNULL,
    stderr=subprocess.DEVNULL,
)


def value(name, what):
    found = PropertyValue()
    found.Name, found.Value = name, what
    return found


def desktop():
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):
        try:
            remote = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return remote.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", remote)
        except Exception:
            time.sleep(0.5)
    raise SystemExit("LibreOffice did not start")


try:
    desk = desktop()
    book = desk.loadComponentFromURL(f"file://{workbook}", "_blank", 0, (value("Hidden", True),))
    sheet = book.Sheets.getByName("counts")
    assert sheet.isProtected()
    head = []
    while sheet.getCellByPosition(len(head), 0).String:
        head.append(sheet.getCellByPosition(len(head), 0).String)
    last = 0
    while sheet.getCellByPosition(0, last + 1).String:
        last += 1
    # The sheet is protected, its header is locked, every cell below it is open, those of lines to come as well.
    for at in range(len(head)):
        assert sheet.getCellByPosition(at, 0).CellProtection.IsLocked, head[at]
        for line in (1, last, last + 400):
            assert not sheet.getCellByPosition(at, line).CellProtection.IsLocked, (head[at], line)
    for name, kind in {"plot": "LIST", "occasion": "LIST", "stage": "LIST", "count": "WHOLE", "date": "DATE"}.items():
        rule = sheet.getCellByPosition(head.index(name), 1).Validation
        assert rule.Type.value == kind, (name, rule.Type.value)
    for row in range(last):
        number = count(row)
        if number is not None:
            sheet.getCellByPosition(head.index("count"), row + 1).Value = number
        if note(row):
            sheet.getCellByPosition(head.index("note"), row + 1).String = note(row)
    book.storeToURL(f"file://{filled}", (value("FilterName", "Calc MS Excel 2007 XML"),))
    book.close(True)
    print(f"LibreOffice: {last} rows filled and saved")
finally:
    try:
        desk.terminate()
    except Exception:
        office.terminate()
    office.wait(timeout=60)
