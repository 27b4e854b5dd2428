// tiltfin schema: what other programs check files with.
#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/file/case_schema.hpp"
#include "post/reports/summary.hpp"

#include <memory>

namespace tiltfin {

CommandLine declare_schema() {
  const auto of = std::make_shared<std::string>();
  return {{{"of",
            of.get(),
            "Of what: a case file (for editors), or summary.json",
            {.is_needed = true, .members = {"case", "summary"}}}},
          [of] {
            print_text(*of == "case" ? case_schema() : summary_schema());
            return fine;
          }};
}

} // namespace tiltfin
