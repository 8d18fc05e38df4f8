"""What the desk needs that needs no Qt, loaded before Qt is.

PySide6 reads the source of every module that is imported after it, in search of its own name. For the three
quarters of the desk that know nothing of Qt this is a tenth of the time until a show is open.
"""

import showcaller.calling.status_view
import showcaller.desk.areas.book.form
import showcaller.desk.areas.book.stripview
import showcaller.desk.areas.book.typed_lines
import showcaller.desk.areas.call.box_words
import showcaller.desk.chime
import showcaller.desk.context
import showcaller.desk.opening
import showcaller.desk.paint.themed
import showcaller.desk.performing
import showcaller.desk.screens
import showcaller.desk.tourfile
import showcaller.editing.checking
import showcaller.editing.finding
import showcaller.editing.history
import showcaller.editing.keeping
import showcaller.editing.snapping
import showcaller.outside.media  # noqa: F401 - only loaded
