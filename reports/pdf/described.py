"""What a file says about itself, as XMP (ISO 16684-1): the words of its properties.

The marks of PDF/A and PDF/UA stand here and nowhere else.
"""

from dataclasses import dataclass
from datetime import datetime
from xml.sax.saxutils import escape

# ISO 19005-2, part 2, level a; ISO 14289-1, part 1. The second one is no schema that
# PDF/A knows, so it must be described where it is used (ISO 19005-2, 6.6.2.3).
_MARKS = """
  <rdf:Description rdf:about="" xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">
   <pdfaid:part>2</pdfaid:part>
   <pdfaid:conformance>A</pdfaid:conformance>
  </rdf:Description>
  <rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
   <pdfuaid:part>1</pdfuaid:part>
  </rdf:Description>
  <rdf:Description rdf:about=""
    xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
    xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
    xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
   <pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
    <pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
    <pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
    <pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
    <pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
     <pdfaProperty:name>part</pdfaProperty:name>
     <pdfaProperty:valueType>Integer</pdfaProperty:valueType>
     <pdfaProperty:category>internal</pdfaProperty:category>
     <pdfaProperty:description>part of ISO 14289</pdfaProperty:description>
    </rdf:li></rdf:Seq></pdfaSchema:property>
   </rdf:li></rdf:Bag></pdfaExtension:schemas>
  </rdf:Description>"""

_PACKET = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
    xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/">
   <dc:format>application/pdf</dc:format>
   <dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
   <dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>
   <dc:description><rdf:Alt><rdf:li xml:lang="x-default">{subject}</rdf:li></rdf:Alt>\
</dc:description>
   <dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>
   <pdf:Keywords>{keywords}</pdf:Keywords>
   <pdf:Producer>{program}</pdf:Producer>
   <xmp:CreatorTool>{program}</xmp:CreatorTool>
   <xmp:CreateDate>{moment}</xmp:CreateDate>
   <xmp:ModifyDate>{moment}</xmp:ModifyDate>
  </rdf:Description>{marks}
 </rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """What a file says about itself."""

    title: str
    author: str
    subject: str
    keywords: str
    language: str
    program: str
    moment: datetime

    def xmp(self, *, is_marked: bool) -> bytes:
        """Return the packet, with the marks of PDF/A-2a and PDF/UA-1 or without."""
        words = {
            name: escape(getattr(self, name))
            for name in (
                "title",
                "author",
                "subject",
                "keywords",
                "language",
                "program",
            )
        }
        moment = self.moment.isoformat(timespec="seconds")
        marks = _MARKS if is_marked else ""
        return _PACKET.format(**words, moment=moment, marks=marks).encode()
