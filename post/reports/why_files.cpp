#include "post/reports/why_columns.hpp"

#include <algorithm>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

/// Cells of a pair, then those of one of its parts.
std::string why_line(std::vector<std::string> cells, const std::vector<std::string>& part) {
  cells.insert(cells.end(), part.begin(), part.end());
  return csv_line(cells);
}

/// The sum of all parts in the cells of a part.
std::vector<std::string> sum_cells(const Why& why) {
  CausePart sum;
  sum.rise_k = why.rise_k;
  sum.limit_w = why.limit_w;
  std::vector<std::string> cells = cells_of(sum);
  cells.front() = "difference";
  cells.back().clear();
  return cells;
}

} // namespace

std::string why_csv(std::span<const Why> whys) {
  std::string text = why_line(head_of(Why{}), head_of(CausePart{}));
  for (const Why& why : whys) {
    const std::vector<std::string> cells = cells_of(why);
    for (const CausePart& part : why.parts) {
      text += why_line(cells, cells_of(part));
    }
    text += why_line(cells, sum_cells(why));
  }
  return text;
}

std::string why_json(std::span<const Why> whys) {
  Json object = Json::object();
  object.add("explanations", rows_json(whys));
  return json_text(object);
}

std::vector<Why> read_why(const std::string& text) {
  try {
    return rows_from_json<Why>(parse_json(text).at("explanations"));
  } catch (const JsonError& error) {
    throw std::runtime_error(std::string("not explanations of conditions: ") + error.what());
  }
}

} // namespace tiltfin
