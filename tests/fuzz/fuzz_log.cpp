// A bench log to rows, trends and tables. The first six bytes choose how it is read (see
// mapping_of), one line end may follow; the rest is the log. Only InputError may be thrown.
#include "cases/bench/bench.hpp"
#include "tests/fuzz/fuzzed_file.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>

namespace tiltfin::tests {
namespace {

constexpr std::size_t n_choices = 6;

/// The bytes are letters from 'a' in the kept inputs, any other is taken by its remainder.
LogMapping mapping_of(std::span<const std::uint8_t> choices, const std::string& path) {
  const auto choice = [&](std::size_t k, std::size_t n) {
    return (static_cast<std::size_t>(choices[k]) + 255U - 'a' + 1U) % n;
  };
  constexpr std::array<std::optional<char>, 5> delimiters{std::nullopt, ',', ';', '\t', '|'};
  const std::array<std::string, 6> units{"", "s", "min", "h", "ms", "stamp"};
  LogMapping mapping;
  mapping.delimiter = delimiters[choice(0, delimiters.size())];
  mapping.time_unit = units[choice(1, units.size())];
  if (choice(2, 2) == 1) {
    mapping.time = {"1", "2"}; // a date and a time
  }
  const bool by_name = choice(3, 4) >= 2;
  mapping.temperature = {by_name ? "core" : "2"};
  if (choice(3, 2) == 1) {
    mapping.temperature.emplace_back(by_name ? "core2" : "3");
    mapping.takes_hottest = true;
  }
  switch (choice(4, 4)) {
  case 0:
    mapping.ambient_c = 22.0;
    break;
  case 1:
    mapping.ambient = by_name ? "room" : "3";
    break;
  case 2:
    mapping.ambient = by_name ? "room" : "3";
    mapping.ambient_file = path;
    break;
  default:
    mapping.ambient = "4";
  }
  if (choice(5, 3) == 0) {
    mapping.power_w = 20.0;
  } else {
    mapping.power = by_name ? "power" : "4";
  }
  if (choice(5, 3) == 2) {
    mapping.from_min = 5.0;
    mapping.to_min = 60.0;
  }
  return mapping;
}

void read(std::span<const std::uint8_t> bytes) {
  if (bytes.size() < n_choices) {
    return;
  }
  std::span<const std::uint8_t> text = bytes.subspan(n_choices);
  if (!text.empty() && text.front() == '\n') {
    text = text.subspan(1);
  }
  const FuzzedFile file(text);
  BenchInput input;
  BenchSoak soak;
  soak.file = file.path();
  soak.panel = "on";
  soak.orientation = "upright";
  soak.mapping = mapping_of(bytes.first(n_choices), file.path());
  soak.is_part = soak.mapping.to_min.has_value();
  input.bench.soaks.push_back(soak);
  input.context.title = "fuzzed";
  input.context.core = {
      .room_temperature_c = 25.0, .limit_temperature_c = 100.0, .core_to_base_k_per_w = 0.2};
  const BenchResult result = reduce_bench(input);
  must(!result.rows.empty());
  must(!bench_table(result.rows, result.trends, input.context).empty());
  must(!bench_csv(result.rows).empty());
  must(!bench_trend_csv(result.trends).empty());
  must(!bench_json(result.rows, result.trends, input.context).empty());
  must(!bench_chart(result.rows, result.trends, input.context).empty());
  (void)bad_row_list(result);
}

} // namespace
} // namespace tiltfin::tests

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    tiltfin::tests::read({data, size});
  } catch (const tiltfin::InputError&) {
  }
  return 0;
}
