#pragma once
// What every validation case shares: its published values, the comparison, and the case file.

#include "cases/case.hpp"
#include "post/balances.hpp"
#include "solver/steady.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <cstdio>
#include <fstream>
#include <functional>
#include <sstream>
#include <string>
#include <vector>

namespace tiltfin::validation {

/// One line of a reference.csv: a value as printed by its source.
struct Reference {
  std::string quantity;
  std::string condition;
  std::string printed;
  double value = 0.0;
  std::string unit;
  double tolerance = 0.0; ///< relative
  std::string source;
};

inline std::string folder(const std::string& name) {
  return "validation/" + name + "/";
}

/// Rows of validation/<name>/reference.csv; its columns are
/// quantity, condition, value, unit, tolerance (relative), source, note; no field holds a comma.
inline std::vector<Reference> read_reference(const std::string& name) {
  std::ifstream file(folder(name) + "reference.csv");
  REQUIRE(file.is_open());
  std::string line;
  std::getline(file, line);
  REQUIRE(line == "quantity,condition,value,unit,tolerance,source,note");
  std::vector<Reference> rows;
  while (std::getline(file, line)) {
    CAPTURE(line);
    std::vector<std::string> fields;
    std::istringstream stream(line + ",");
    for (std::string field; std::getline(stream, field, ',');) {
      fields.push_back(field);
    }
    REQUIRE(fields.size() == 7);
    rows.push_back({fields[0], fields[1], fields[2], std::stod(fields[2]), fields[3],
                    std::stod(fields[4]), fields[5]});
  }
  REQUIRE_FALSE(rows.empty());
  return rows;
}

inline Case read_case_of(const std::string& name) {
  return read_case(folder(name) + "case.toml");
}

/// Solves the case's section with gravity of this size towards `down`, from rest or from `warm`.
inline Solution solve(const Case& the_case, const Section& section, const Vector3& down,
                      double gravity, const Solution* warm = nullptr) {
  NestedOptions options;
  options.resolution = the_case.resolution;
  options.calm = the_case.calm;
  const AirRule air{the_case.air, the_case.room_temperature};
  Solution solution =
      solve_nested(section, {gravity * down[0], gravity * down[1], 0.0}, air, options, warm);
  REQUIRE(solution.report.status == SolveStatus::converged);
  return solution;
}

/// Compares every row of validation/<name>/reference.csv with what `ours` gives for its quantity
/// and condition, prints the row as it stands in validation/README.md, and checks that it still
/// stands there with our value.
inline void compare(
    const std::string& name,
    const std::function<double(const std::string& quantity, const std::string& condition)>& ours) {
  std::ifstream file("validation/README.md");
  REQUIRE(file.is_open());
  std::stringstream text;
  text << file.rdbuf();
  const std::string table = text.str();
  for (const Reference& row : read_reference(name)) {
    const double value = ours(row.quantity, row.condition);
    const double difference = value / row.value - 1.0;
    const auto print = [&](const char* format, double number) {
      char buffer[64];
      std::snprintf(buffer, sizeof buffer, format, number);
      return std::string(buffer);
    };
    const std::string start = "| " + name + " | " + row.source + " | " + row.quantity + " | " +
                              row.condition + " | " + row.printed + " | ";
    std::printf("%s%s | %s %% | %s %% |\n", start.c_str(), print("%.5g", value).c_str(),
                print("%+.2f", 100.0 * difference).c_str(),
                print("%g", 100.0 * row.tolerance).c_str());
    CAPTURE(row.quantity, row.condition, row.value, value);
    CHECK(std::abs(difference) <= row.tolerance);
    const std::size_t place = table.find(start);
    const bool is_in_table = place != std::string::npos;
    CHECK(is_in_table);
    if (is_in_table) {
      // The table is printed with five digits; a change of the last is rounding, more is not.
      const double shown = std::stod(table.substr(place + start.size(), 16));
      CHECK_THAT(value, Catch::Matchers::WithinRel(shown, 2e-4));
    }
  }
}

} // namespace tiltfin::validation
