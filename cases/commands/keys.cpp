// tiltfin keys: what every key of a case file means and may be.
#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/file/key_reference.hpp"

#include <memory>

namespace tiltfin {

CommandLine declare_keys() {
  const auto tables = std::make_shared<std::vector<std::string>>();
  return {
      {{"tables", tables.get(), "Only these tables, such as room or case.panel (default: all)"}},
      [tables] {
        print_text(key_reference(*tables));
        return fine;
      }};
}

} // namespace tiltfin
