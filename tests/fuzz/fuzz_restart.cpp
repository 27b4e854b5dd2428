// A restart file of one small case: first the bytes as they are, of which those without the right
// checksum are refused (StoredInputError), then with the checksum made right, where nothing may be
// thrown: what is damaged is nothing, what is read can be drawn.
#include "cases/file/stored.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/restart.hpp"
#include "post/views/picture.hpp"
#include "tests/fuzz/fuzzed_case.hpp"
#include "tests/fuzz/fuzzed_file.hpp"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace tiltfin::tests {
namespace {

struct Place {
  Case the_case = parse_case(fuzzed_case_text, "fuzzed.toml");
  std::string case_crc32 = crc32_of_case(the_case);
  std::vector<Chain> chains = make_chains(the_case, {}, false);
};

void read_from(const std::string& path, const Place& place) {
  const Chain& chain = place.chains.front();
  const Condition condition = condition_of(place.the_case, chain, chain.conditions.front().power);
  (void)read_restart(path, place.the_case, *chain.section, condition);
  const std::optional<Solution> finest =
      read_finest(path, place.the_case, *chain.section, condition);
  if (!finest) {
    return;
  }
  // A picture takes a quarter of a second under sanitizers: one in a hundred is drawn.
  constexpr std::size_t one_in = 100;
  if (std::hash<std::string>{}(read_stored_bytes(path, place.case_crc32, "a state")) % one_in ==
      0) {
    must(!picture(*chain.section, seen_flow(*finest), Outcome{}).body.empty());
  }
}

std::span<const std::uint8_t> bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

/// Writes what stands before the last line with a checksum, if there is one, with the right one.
void repair(FuzzedFile& file, std::string_view text, const Place& place) {
  const std::string body(text.substr(0, text.rfind("\n<!-- stored as ")));
  const std::string name = std::filesystem::path(file.path()).filename().string();
  file.put(bytes_of(stored_bytes(body, {name, place.case_crc32})));
}

void read(std::string_view text) {
  static const Place place;
  FuzzedFile file(bytes_of(text));
  try {
    read_from(file.path(), place);
    return; // the checksum was right
  } catch (const StoredInputError&) {
  }
  repair(file, text, place);
  read_from(file.path(), place);
}

} // namespace
} // namespace tiltfin::tests

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  tiltfin::tests::read({reinterpret_cast<const char*>(data), size});
  return 0;
}
