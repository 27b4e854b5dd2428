#include "post/text/columns.hpp"
#include "tests/catch.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

enum class Mood { calm, wild };

const char* name(Mood mood) {
  return mood == Mood::calm ? "calm" : "wild";
}

struct Part {
  double length_mm = 0.0;
};

template <RowOf<Part> Row, class Visit>
void visit_members(Row& part, const Visit& visit) {
  visit("length_mm", part.length_mm);
}

struct Row {
  std::string text;
  double number = 0.0;
  int count = 0;
  bool is_so = false;
  Mood mood = Mood::wild;
  std::optional<Mood> later;
  Part part;
  std::optional<Part> spare;
  double shown_in_csv = 1.0;
};

template <RowOf<Row> R, class Visit>
void visit_members(R& row, const Visit& visit) {
  visit("text", row.text);
  visit("number", row.number);
  visit("count", row.count);
  visit("is_so", row.is_so);
  visit("mood", row.mood);
  visit("later", row.later);
  visit("part", row.part);
  visit("spare", row.spare);
  visit("shown_in_csv", row.shown_in_csv, In::csv);
}

} // namespace

TEST_CASE("Columns: one list of columns makes head, cells and JSON", "[columns]") {
  const std::vector<Row> rows{{"a, b", 0.5, 3, true, Mood::calm, Mood::wild, {7.0}, Part{8.0}, 2.0},
                              {"c", std::nan(""), 0, false, Mood::wild, {}, {}, {}, 1.0}};
  CHECK(csv_table(rows) == "text,number,count,is_so,mood,later,shown_in_csv\n"
                           "\"a, b\",0.5,3,yes,calm,wild,2\n"
                           "c,,0,no,wild,,1\n");
  CHECK(csv_table(std::vector<Row>{}) == "text,number,count,is_so,mood,later,shown_in_csv\n");
  CHECK(json_text(rows_json(rows)) == R"([
  {
    "text": "a, b",
    "number": 0.5,
    "count": 3,
    "is_so": true,
    "mood": "calm",
    "later": "wild",
    "part": {
      "length_mm": 7.0
    },
    "spare": {
      "length_mm": 8.0
    }
  },
  {
    "text": "c",
    "number": null,
    "count": 0,
    "is_so": false,
    "mood": "wild",
    "later": "",
    "part": {
      "length_mm": 0.0
    }
  }
]
)");
}

} // namespace tiltfin::tests
