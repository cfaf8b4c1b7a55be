#pragma once
#include <span>
#include <string_view>

#include "journal/entry.h"
#include "journal/fields.h"

namespace lotwright::journal {

/// What the journal knows of an entry kind: the one table that names, readers, writers and the
/// form's checks go by. Private to the room.
struct KindRow {
  Kind kind;
  std::string_view name;
  unsigned subjects;                ///< bits of the allowed subject kinds, see allows()
  bool founds;                      ///< brings its subject in: the subject's id is the entry's own
  bool (*holds)(const Body& body);  ///< the body is of this kind's form
  Body (*read)(FieldReader& io);
  void (*write)(const Body& body, FieldWriter& io);

  [[nodiscard]] bool allows(Subject::Kind subject) const {
    return (subjects & (1U << static_cast<unsigned>(subject))) != 0;
  }
};

/// In the order of Kind.
[[nodiscard]] std::span<const KindRow> kind_rows();
[[nodiscard]] const KindRow& kind_row(Kind kind);
/// Null when no kind has the name.
[[nodiscard]] const KindRow* kind_row(std::string_view name);

/// What is wrong with how the parts of an entry go together: kind and subject, kind and body, a
/// founding entry's subject id, and what one body's members say of each other. Empty: nothing.
[[nodiscard]] base::Problems form_problems(const Entry& entry, const std::string& pointer = {});

}  // namespace lotwright::journal
