#include "post/page/report_page.hpp"

#include "post/page/assets.hpp"
#include "post/page/html.hpp"
#include "post/page/parts.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <array>
#include <utility>

namespace tiltfin {
namespace {

/// A part with its heading and its name in the list of contents.
struct PagePart {
  const char* id;
  const char* heading;
  const char* in_contents;
  std::string (*html)(const PageResults&);
};

constexpr std::array<PagePart, 20> page_parts{
    {{"answer", "The answer", "Answer", answer_part},
     {"warnings", "Before you rely on it", "Before you rely on it", warnings_part},
     {"ranking", "Which way to stand is best?", "Best way to stand", ranking_part},
     {"why", "Why?", "Why", why_part},
     {"levers", "What would help?", "What would help", levers_part},
     {"ends", "What would air through the ends bring?", "Air through the ends", ends_part},
     {"turn", "All the way round", "All the way round", turn_part},
     {"pictures", "What the air does", "Pictures", pictures_part},
     {"motion", "How the air moves", "In motion", motion_part},
     {"rise", "How warm, at which power?", "Rise against power", rise_part},
     {"heat", "Where does the heat go?", "Heat", heat_part},
     {"air", "Where does the air go?", "Air", air_part},
     {"compare", "Computed against measured", "Against the bench", compare_part},
     {"bench", "What was measured", "Bench", bench_part},
     {"spacing", "Which gap between fins?", "Gaps", spacing_part},
     {"rank", "Which cooler?", "Coolers", rank_part},
     {"study", "What does each key do?", "Study", study_part},
     {"conditions", "Every condition", "Every condition", conditions_part},
     {"notes", "What the model leaves out", "Left out", notes_part},
     {"again", "How to get this again", "Reproduce", again_part}}};

/// Nothing may be asked for, from anywhere.
constexpr const char* page_policy =
    "default-src 'none'; img-src data: blob:; style-src 'unsafe-inline'; "
    "script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

std::string question(const PageResults& results) {
  const char* text = results.outcomes.empty()
                         ? "What do the results in this directory say?"
                         : "How much heat does this cooler take away, each way the machine can "
                           "stand, why, and what would help?";
  return fmt::format(R"(<header class="top"><div><p class="maker">tiltfin</p><h1>{}</h1>)"
                     R"(<p class="question">{}</p></div></header>)"
                     "\n",
                     xml_escaped(results.title), text);
}

} // namespace

std::string report_page(PageFiles files) {
  const PageResults results = read_page_results(std::move(files));
  std::string contents;
  std::string body;
  for (const PagePart& part : page_parts) {
    const std::string html = part.html(results);
    if (!html.empty()) {
      contents += fmt::format(R"(<li><a href="#{}">{}</a></li>)"
                              "\n",
                              part.id, part.in_contents);
      body += fmt::format(R"(<section id="{0}" aria-labelledby="{0}-heading">)"
                          R"(<h2 id="{0}-heading">{1}</h2>)"
                          "\n{2}</section>\n",
                          part.id, part.heading, html);
    }
  }
  std::string page = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
  page += fmt::format(R"(<meta http-equiv="Content-Security-Policy" content="{}">)"
                      "\n",
                      page_policy);
  page += R"(<meta name="viewport" content="width=device-width, initial-scale=1">)"
          "\n"
          R"(<meta name="color-scheme" content="light dark">)"
          "\n";
  page += fmt::format("<title>{} - tiltfin report</title>\n", xml_escaped(results.title));
  page += R"(<link rel="icon" href="data:,">)"
          "\n<style>\n" +
          page_style() + "</style>\n</head>\n<body>\n" +
          R"(<a class="skip" href="#main">Skip to the answer</a>)" + "\n" + question(results) +
          R"(<div class="page"><nav aria-label="Contents"><ul>)" + contents +
          "</ul></nav>\n<main id=\"main\" tabindex=\"-1\">\n" + body + "</main></div>\n";
  page += "<script>\n" + chart_library() + "\n</script>\n<script>\n" + page_script() +
          "</script>\n</body>\n</html>\n";
  return page;
}

} // namespace tiltfin
