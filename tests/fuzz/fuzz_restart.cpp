// A restart file of one small case: what is damaged is nothing, what is read can be drawn. Nothing
// may be thrown.
#include "cases/run/chains.hpp"
#include "cases/run/restart.hpp"
#include "post/views/picture.hpp"
#include "tests/fuzz/fuzzed_case.hpp"
#include "tests/fuzz/fuzzed_file.hpp"

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace tiltfin::tests {
namespace {

void read(std::span<const std::uint8_t> bytes) {
  static const Case the_case = parse_case(fuzzed_case_text, "fuzzed.toml");
  static const std::vector<Chain> chains = make_chains(the_case, {}, false);
  const Chain& chain = chains.front();
  const Condition condition = condition_of(the_case, chain, chain.conditions.front().power);
  const FuzzedFile file(bytes);
  (void)read_restart(file.path(), the_case, *chain.section, condition);
  const std::optional<Solution> finest =
      read_finest(file.path(), the_case, *chain.section, condition);
  // A picture takes a quarter of a second under sanitizers: one in a hundred is drawn.
  constexpr std::size_t one_in = 100;
  const std::string_view text(reinterpret_cast<const char*>(bytes.data()), bytes.size());
  if (finest && std::hash<std::string_view>{}(text) % one_in == 0) {
    must(!picture(*chain.section, seen_flow(*finest), Outcome{}).body.empty());
  }
}

} // namespace
} // namespace tiltfin::tests

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  tiltfin::tests::read({data, size});
  return 0;
}
