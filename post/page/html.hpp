#pragma once
// Pieces of HTML text. Whatever comes from a case file is escaped here and nowhere else.

#include "post/text/json.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace tiltfin {

/// Text of several lines for an element that keeps them: characters that HTML reserves replaced,
/// line breaks and tabs kept, other control characters left out.
[[nodiscard]] std::string lines_escaped(const std::string& text);

/// Letters, digits and '-' alone, for the name of an element; others become '-'.
[[nodiscard]] std::string element_name(const std::string& text);

/// An SVG file as the address of an image: `data:image/svg+xml,...`, safe in a quoted attribute.
[[nodiscard]] std::string svg_address(const std::string& svg);

/// JSON for a script element: no character of it ends the element or begins a comment.
[[nodiscard]] std::string json_for_script(const Json& json);

/// "<p>...</p>" with its text escaped; "" for no text.
[[nodiscard]] std::string paragraph(const std::string& text, const std::string& css_class = "");

/// A list of texts; "" for none.
[[nodiscard]] std::string bullet_list(const std::vector<std::string>& texts);

/// A table of plain texts. Cells that begin like numbers stand to the right.
struct PageTable {
  std::string caption;
  std::vector<std::string> head;
  std::vector<std::vector<std::string>> rows;
  bool has_filter = false; ///< a field for words that rows must hold
};

/// In a box of its own that scrolls, with a head that stays. The first column heads its row.
[[nodiscard]] std::string table_html(const PageTable& table);

/// What opens on request; text that is seen without it is `summary`.
[[nodiscard]] std::string opening(const std::string& summary, const std::string& html,
                                  bool is_open = false);

/// One of several that are shown one at a time, without a script.
struct PageTab {
  std::string name; ///< of its button, "40 W"
  std::string html;
};

/// `group`: letters, digits and '-' that no other tabs of the page have; `shown`: the number of the
/// tab that is open at first. A single tab is shown without buttons.
[[nodiscard]] std::string tabs_html(const std::string& group, const std::string& legend,
                                    const std::vector<PageTab>& tabs, std::size_t shown);

/// The texts of a list that `wrapped` has made (post/text/table_text): items begin after two
/// blanks, go on after more; headings are left out.
[[nodiscard]] std::vector<std::string> unwrapped_items(const std::string& text);

/// A csv file of ours as a table without its caption.
[[nodiscard]] PageTable table_of_csv(const std::string& csv);

} // namespace tiltfin
