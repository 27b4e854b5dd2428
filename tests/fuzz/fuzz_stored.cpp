// Stored results: the same bytes as summary.json, why.json, rank.json, levers.json and the file of
// a condition, then what tables, sentences and the page make of what was read. First the bytes as
// they are: whether their checksum is right, and what the readers make of them; then, where they
// are JSON, with the checksum made right, which must be taken and read as the same. Readers may
// throw std::runtime_error ("not what its name says"), nothing else.
#include "post/page/report_page.hpp"
#include "post/reports/summary.hpp"
#include "post/reports/why.hpp"
#include "post/text/checksum.hpp"
#include "tests/fuzz/fuzzed_file.hpp"

#include <cstdint>
#include <functional>
#include <stdexcept>
#include <string>

namespace tiltfin::tests {
namespace {

/// False where the reader refuses.
bool accepts(const std::function<void()>& reader) {
  try {
    reader();
  } catch (const std::runtime_error&) {
    return false;
  }
  return true;
}

void tell(const SolvedResults& solved) {
  const std::vector<TrendRow> trends = make_trends(solved.outcomes, solved.context);
  (void)summary_csv(solved.outcomes);
  (void)heat_csv(solved.outcomes);
  (void)trend_csv(trends);
  must(!readable_table(solved.outcomes, trends, solved.context).empty());
  const std::vector<Why> whys = explain(solved.outcomes, trends, solved.context);
  (void)why_csv(whys);
  (void)why_section(whys);
  const std::string stored = summary_json(solved.outcomes, trends, solved.context);
  const SolvedResults again = read_solved(stored);
  must(summary_json(again.outcomes, make_trends(again.outcomes, again.context), again.context) ==
       stored);
}

void read(const std::string& text) {
  accepts([&] { (void)read_summary(text); });
  SolvedResults solved;
  if (accepts([&] { solved = read_solved(text); })) {
    tell(solved);
  }
  Outcome outcome;
  if (accepts([&] { outcome = outcome_from_json(text); })) {
    const std::string stored = outcome_to_json(outcome);
    must(outcome_to_json(outcome_from_json(stored)) == stored);
  }
  std::vector<Why> whys;
  if (accepts([&] { whys = read_why(text); })) {
    (void)why_csv(whys);
  }
  for (const char* name : {"summary.json", "levers.json", "rank.json", "compare.json"}) {
    accepts([&] { (void)report_page({{name, text}}); });
  }
}

/// With a checksum that is right.
void read_repaired(const std::string& text) {
  const StoredAs as{"summary.json", "0badcafe"};
  std::string repaired;
  if (accepts([&] { repaired = stored_json(text, as); })) {
    check_stored_json(repaired, as);
    must(stored_json(repaired, as) == repaired);
    read(repaired);
  }
}

} // namespace
} // namespace tiltfin::tests

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(data, data + size);
  tiltfin::tests::accepts([&] { tiltfin::check_stored_json(text, {"summary.json", ""}); });
  tiltfin::tests::read(text);
  tiltfin::tests::read_repaired(text);
  return 0;
}
