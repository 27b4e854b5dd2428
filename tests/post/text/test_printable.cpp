#include "post/text/printable.hpp"
#include "post/text/table_text.hpp"
#include "post/views/svg.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

TEST_CASE("Printable: what is no character to read is replaced", "[printable]") {
  const std::string mark = "\xEF\xBF\xBD"; // U+FFFD
  CHECK(printable("Kühlkörper, 25 °C, 熱\nzwei") == "Kühlkörper, 25 °C, 熱\nzwei");
  CHECK(printable("\x1B[31mred\x07\x7F") == mark + "[31mred" + mark + mark);
  CHECK(printable("a\tb\rc") == "a" + mark + "b" + mark + "c");
  CHECK(printable("\xC2\x9B") == mark);                   // a control character of two bytes
  CHECK(printable("\xEF\xBF\xBE") == mark);               // U+FFFE, which XML forbids
  CHECK(printable("\xE2\x80\xAE") == mark);               // turns the direction of writing
  CHECK(printable("\xFF\xC3") == mark + mark);            // no UTF-8, and cut short
  CHECK(printable("\xC0\xAF") == mark + mark);            // longer than it must be
  CHECK(printable("\xED\xA0\x80") == mark + mark + mark); // half of a pair
  CHECK(is_printable("Kühlkörper"));
  CHECK_FALSE(is_printable("two\nlines"));
  CHECK_FALSE(is_printable("\x1B"));
}

TEST_CASE("Printable: cells that a spreadsheet would compute are neutralised, numbers are not",
          "[printable]") {
  CHECK(csv_text("=1+1") == "'=1+1");
  CHECK(csv_text("@SUM(A1)") == "'@SUM(A1)");
  CHECK(csv_text("+cmd|' /C calc'!A0") == "'+cmd|' /C calc'!A0");
  CHECK(csv_text("-2+3") == "'-2+3");
  CHECK(csv_text("=A1,B1") == "\"'=A1,B1\"");
  CHECK(csv_text("-12.5") == "-12.5");
  CHECK(csv_text("+1e-3") == "+1e-3");
  CHECK(csv_text("-") == "-");
  CHECK(csv_value(-3.0) == "-3");
  CHECK(csv_text("upright") == "upright");
  CHECK(csv_text("\t=1") == "\xEF\xBF\xBD=1");
  CHECK(xml_escaped("a\xEF\xBF\xBE<") == "a\xEF\xBF\xBD&lt;");
}
